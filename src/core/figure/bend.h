// SPDX-License-Identifier: MIT
// The bend of a limb of two spans by the distance d from its start to its end, smoothed so that its slope is finite where
// the limb is straight: theta(d) = sqrt(8 (1 - d/L) + theta0^2), theta0 = 6 degrees, L the length of both.
#pragma once

#include <algorithm>
#include <cmath>

#include "base/trig.h"
#include "base/vec.h"

namespace aplomb {

inline constexpr double bend_smoothing = 6.0 * degree; // theta0

inline double smooth_bend(double distance, double length) {
    constexpr double least = 0.25 * bend_smoothing * bend_smoothing; // only met past the end of reach
    return std::sqrt(std::max(8.0 * (1.0 - distance / length) + bend_smoothing * bend_smoothing, least));
}
/// The slope of the bend by the distance.
inline double smooth_bend_slope(double smooth, double length) {
    return -4.0 / (length * smooth);
}
inline double distance_of_smooth_bend(double smooth, double length) {
    return length * (1.0 - (smooth * smooth - bend_smoothing * bend_smoothing) / 8.0);
}

/// The bend itself, from straight; radians.
inline double bend_between(const Vec3& start, const Vec3& middle, const Vec3& end) {
    const Vec3 upper = middle - start, lower = end - middle;
    return arctan2(norm(cross(upper, lower)), dot(upper, lower));
}

} // namespace aplomb
