// SPDX-License-Identifier: MIT
// How fast a recorded figure moves: quiet moments are found by that, not by frame numbers.
#pragma once

#include "recording.h"

#include <array>

namespace recorded {

/// One frame; metres and seconds.
struct Moment {
    std::size_t frame = 0;
    Pose pose;
    aplomb_reading reading{};               // in the stance that the pose shows
    std::array<std::vector<Vec3>, 2> soles; // left, right
    std::array<bool, 2> bears{};            // in that stance
    double foot_speed[2] = {0, 0};          // of the middle of the sole
    double centre_speed = 0;                // of the body's centre of mass
};

inline Vec3 middle(const std::vector<Vec3>& points) {
    Vec3 sum{0, 0, 0};
    for (const Vec3& p : points)
        sum = sum + p;
    return sum * (1 / static_cast<double>(points.size()));
}

/// Of points of a figure that stands along Y.
inline double lowest(const std::vector<Vec3>& points) {
    double height = 1e30;
    for (const Vec3& p : points)
        height = std::fmin(height, p.y);
    return height;
}

/// All frames of a clip past its added rows.
inline std::vector<Moment> moments_of(const Recording& recording, const Clip& clip) {
    const std::vector<double> times = recording.times();
    const std::vector<int32_t> legs = recording.legs();
    EXPECT_EQ(legs.size(), 2u);
    std::vector<Moment> moments;
    for (std::size_t frame = clip.first; frame < times.size(); ++frame) {
        Moment m;
        m.frame = frame;
        m.pose = recording.pose(0, times[frame]);
        m.reading = read(recording.solver(), m.pose.situation());
        const std::vector<double> worlds = recording.worlds(m.pose);
        for (std::size_t side = 0; side < 2; ++side) {
            m.soles[side] = recording.sole(worlds, legs[side]);
            for (Vec3& p : m.soles[side])
                p = p * clip.metres_per_unit;
            for (int32_t c = 0; c < m.reading.contact_count; ++c)
                m.bears[side] = m.bears[side] || m.reading.contacts[c].limb == legs[side];
        }
        moments.push_back(m);
    }
    const std::size_t reach = 12; // to both sides: a tenth of a second at 120 frames per second
    for (std::size_t i = 0; i < moments.size(); ++i) {
        const std::size_t a = i < reach ? 0 : i - reach, b = std::min(i + reach, moments.size() - 1);
        const double seconds = times[moments[b].frame] - times[moments[a].frame];
        const auto centre = [&](std::size_t k) {
            return vector(moments[k].reading.body_centre) * clip.metres_per_unit;
        };
        moments[i].centre_speed = norm(centre(b) - centre(a)) / seconds;
        for (std::size_t side = 0; side < 2; ++side)
            moments[i].foot_speed[side] =
                norm(middle(moments[b].soles[side]) - middle(moments[a].soles[side])) / seconds;
    }
    return moments;
}

} // namespace recorded
