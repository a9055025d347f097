// SPDX-License-Identifier: MIT
// The smooth functions that measures and targets are made of. Each is differentiable everywhere, so that no input that
// changes gradually makes an output jump.
#pragma once

#include <algorithm>
#include <cmath>

namespace aplomb {

/// 0 up to 0, 1 from 1 on.
inline double smooth_step(double u) {
    u = std::clamp(u, 0.0, 1.0);
    return u * u * (3.0 - 2.0 * u);
}
/// About t where it is small, never beyond 1.
inline double saturated(double t) {
    return t / std::sqrt(1.0 + t * t);
}
/// About the positive part of t, 0 at 0.
inline double positive_part(double t, double width) {
    return 0.5 * (t + std::sqrt(t * t + width * width) - width);
}
/// About the size of t, 0 at 0.
inline double smooth_size(double t, double width) {
    return std::sqrt(t * t + width * width) - width;
}
/// About the greater, and above it where they are near.
inline double smooth_max(double a, double b, double width) {
    return 0.5 * (a + b + std::sqrt((a - b) * (a - b) + width * width));
}
/// The slope of smooth_max in its first argument; that in the second is 1 less this.
inline double smooth_max_slope(double a, double b, double width) {
    return 0.5 * (1.0 + (a - b) / std::sqrt((a - b) * (a - b) + width * width));
}

} // namespace aplomb
