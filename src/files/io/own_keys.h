// SPDX-License-Identifier: MIT
// A corrected clip on the animator's own keys: what lies between them drifts, so legs that stand are turned back onto
// their feet, and get further keys where that is not enough.
#pragma once

#include "io/corrected_frames.h"

#include <optional>
#include <string>
#include <vector>

namespace aplomb::io {

/// A point that a leg stands on, in its joint's frame.
struct FootPoint {
    int joint = 0;
    Vec3 place;
};

struct Leg {
    int limb = 0, upper = 0, lower = 0, end = 0;
    std::vector<FootPoint> points; // of its sole, and the end itself
};

/// A leg that stands from `first` to `last`, both included, counted in the list of frames.
struct Planted {
    Leg leg;
    int first = 0, last = 0;
};

struct OwnKeys {
    std::string bytes; // of the file
    std::vector<aplomb_added_key> added;
    std::vector<Pose> poses; // as the file then has the frames
    double drift = 0;        // the most that a point of a planted leg is off, file's unit
};

/// `frames` in the order of their times.
OwnKeys on_own_keys(const CharacterFile& file, int clip, const std::vector<CorrectedFrame>& frames,
                    const std::vector<Leg>& legs, const std::vector<Planted>& planted, double most_drift,
                    const std::optional<std::string>& target);

} // namespace aplomb::io
