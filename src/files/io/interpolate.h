// SPDX-License-Identifier: MIT
// Between two values.
#pragma once

#include "base/rotation.h"

namespace aplomb::io {

inline Vec3 lerp(const Vec3& a, const Vec3& b, double u) {
    return a * (1 - u) + b * u;
}

/// Along the shorter great arc at constant speed (glTF 2.0, appendix C.4). Gives `a` itself at u = 0.
inline Quat slerp(const Quat& a, Quat b, double u) {
    if (dot(a, b) < 0) b = {-b.x, -b.y, -b.z, -b.w};
    const Quat sum = {a.x + b.x, a.y + b.y, a.z + b.z, a.w + b.w};
    const Quat difference = {a.x - b.x, a.y - b.y, a.z - b.z, a.w - b.w};
    const double angle = 2 * arctan2(std::sqrt(dot(difference, difference)), std::sqrt(dot(sum, sum)));
    double first = 1 - u, second = u;
    if (angle > 1e-7) { // below, the chord and the arc agree to rounding
        const double sine = sin_cos(angle).sin;
        first = sin_cos((1 - u) * angle).sin / sine;
        second = sin_cos(u * angle).sin / sine;
    }
    return {first * a.x + second * b.x, first * a.y + second * b.y, first * a.z + second * b.z,
            first * a.w + second * b.w};
}

} // namespace aplomb::io
