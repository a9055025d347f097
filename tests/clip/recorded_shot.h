// SPDX-License-Identifier: MIT
// Clips of recorded people as shots.
#pragma once

#include "recorded/recording.h"
#include "shot.h"

namespace recorded {

/// Every `step`-th frame past the added rows.
inline shot::Poses poses_of(const Recording& recording, const Clip& clip, std::size_t step) {
    shot::Poses poses;
    const std::vector<double> times = recording.times();
    for (std::size_t f = clip.first; f < times.size(); f += step) {
        const Pose pose = recording.pose(0, times[f]);
        poses.add(times[f], pose.translations, pose.rotations);
    }
    return poses;
}

} // namespace recorded
