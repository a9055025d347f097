// SPDX-License-Identifier: MIT
#include "model/swing_twist.h"

#include <algorithm>

namespace aplomb {
namespace {

/// angle / sin(angle / 2) for a swing with half-angle sine s and cosine c.
double swing_ratio(double s, double c) {
    if (s * s < 1e-8) return 2.0 + s * s / 3.0;
    return 2.0 * arctan2(s, c) / s;
}

Quat upper_half(const Quat& q) {
    return q.w < 0 ? Quat{-q.x, -q.y, -q.z, -q.w} : q;
}

} // namespace

double half_swing_cosine(const Quat& q) {
    return std::sqrt(q.w * q.w + q.y * q.y);
}

Vec3 swing_twist(const Quat& rotation) {
    const Quat q = upper_half(rotation);
    const double c = half_swing_cosine(q), s = std::sqrt(q.x * q.x + q.z * q.z);
    const double ratio = swing_ratio(s, c) / c;
    return {(q.x * q.w + q.z * q.y) * ratio, 2.0 * arctan2(q.y, q.w), (q.z * q.w - q.x * q.y) * ratio};
}

Quat from_swing_twist(const Vec3& v) {
    return exp_rotation({v.x, 0, v.z}) * exp_rotation({0, v.y, 0});
}

Mat3 swing_twist_jacobian(const Quat& rotation) {
    const Quat q = upper_half(rotation);
    const double c2 = q.w * q.w + q.y * q.y, c = std::sqrt(c2);
    const double s2 = q.x * q.x + q.z * q.z, s = std::sqrt(s2);
    const double ratio = swing_ratio(s, c);
    const double slope = s2 < 1e-8 ? 2.0 / 3.0 + 0.6 * s2 : (2.0 / c - ratio) / s2; // -(d ratio / dc) / c
    const double x = (q.x * q.w + q.z * q.y) / c, z = (q.z * q.w - q.x * q.y) / c;
    Mat3 j;
    for (int i = 0; i < 3; ++i) {
        Vec3 turn;
        turn[i] = 0.5;
        const Quat d = Quat{turn.x, turn.y, turn.z, 0} * q;
        const double dc = (q.w * d.w + q.y * d.y) / c;
        const double dx = (d.x * q.w + q.x * d.w + d.z * q.y + q.z * d.y - x * dc) / c;
        const double dz = (d.z * q.w + q.z * d.w - d.x * q.y - q.x * d.y - z * dc) / c;
        const double dratio = -c * dc * slope;
        j.row[0][i] = dx * ratio + x * dratio;
        j.row[1][i] = 2.0 * (q.w * d.y - q.y * d.w) / c2;
        j.row[2][i] = dz * ratio + z * dratio;
    }
    return j;
}

Quat within(const Quat& turn, const Quat& keyed, const Limits& limits) {
    if (half_swing_cosine(turn) < least_half_swing_cosine) return turn;
    const Vec3 is = swing_twist(turn), was = swing_twist(keyed);
    Vec3 allowed;
    for (int a = 0; a < 3; ++a)
        allowed[a] =
            std::clamp(is[a], std::min(limits.lowest[a], was[a]), std::max(limits.highest[a], was[a]));
    const bool inside = allowed.x == is.x && allowed.y == is.y && allowed.z == is.z;
    return inside ? turn : from_swing_twist(allowed);
}

} // namespace aplomb
