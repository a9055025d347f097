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

// The swing's components over `swing_factor`, and the twist.
double swing_x(const Quat& q) {
    return q.x * q.w + q.z * q.y;
}
double swing_z(const Quat& q) {
    return q.z * q.w - q.x * q.y;
}
double swing_factor(const Quat& q) {
    const double c = half_swing_cosine(q), s = std::sqrt(q.x * q.x + q.z * q.z);
    return swing_ratio(s, c) / c;
}
double twist(const Quat& q) {
    return 2.0 * arctan2(q.y, q.w);
}

/// What a turn of 1 about each outer axis adds to q.
struct Rates {
    Quat of[3];

    explicit Rates(const Quat& q) {
        const double x = 0.5 * q.x, y = 0.5 * q.y, z = 0.5 * q.z, w = 0.5 * q.w;
        of[0] = {w, -z, y, -x}, of[1] = {z, w, -x, -y}, of[2] = {-y, x, w, -z};
    }
};

} // namespace

double half_swing_cosine(const Quat& q) {
    return std::sqrt(q.w * q.w + q.y * q.y);
}

Vec3 swing_twist(const Quat& rotation) {
    const Quat q = upper_half(rotation);
    const double factor = swing_factor(q);
    return {swing_x(q) * factor, twist(q), swing_z(q) * factor};
}

double swing_twist_component(const Quat& rotation, int component) {
    const Quat q = upper_half(rotation);
    return component == 1 ? twist(q) : (component == 0 ? swing_x(q) : swing_z(q)) * swing_factor(q);
}

Quat from_swing_twist(const Vec3& v) {
    return exp_rotation({v.x, 0, v.z}) * exp_rotation({0, v.y, 0});
}

Vec3 swing_twist_gradient(const Quat& rotation, int component) {
    const Quat q = upper_half(rotation);
    const Rates rates(q);
    const double c2 = q.w * q.w + q.y * q.y;
    Vec3 gradient;
    if (component == 1) {
        for (int i = 0; i < 3; ++i)
            gradient[i] = 2.0 * (q.w * rates.of[i].y - q.y * rates.of[i].w) / c2;
        return gradient;
    }
    const double c = std::sqrt(c2), s2 = q.x * q.x + q.z * q.z, s = std::sqrt(s2);
    const double ratio = swing_ratio(s, c);
    const double slope = s2 < 1e-8 ? 2.0 / 3.0 + 0.6 * s2 : (2.0 / c - ratio) / s2; // -(d ratio / dc) / c
    const double part = (component == 0 ? swing_x(q) : swing_z(q)) / c;
    for (int i = 0; i < 3; ++i) {
        const Quat& d = rates.of[i];
        const double dc = (q.w * d.w + q.y * d.y) / c;
        const double of_product = component == 0 ? d.x * q.w + q.x * d.w + d.z * q.y + q.z * d.y
                                                 : d.z * q.w + q.z * d.w - d.x * q.y - q.x * d.y;
        gradient[i] = (of_product - part * dc) / c * ratio + part * (-c * dc * slope);
    }
    return gradient;
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
