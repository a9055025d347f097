// SPDX-License-Identifier: MIT
#include "io/euler.h"

#include <cmath>

namespace aplomb::io {
namespace {

using Angles = std::array<double, 3>;

Angles unwound(Angles angles, const Angles& near) {
    for (std::size_t i = 0; i < 3; ++i)
        angles[i] += 2 * pi * std::floor((near[i] - angles[i]) / (2 * pi) + 0.5);
    return angles;
}

double distance(const Angles& a, const Angles& b) {
    double sum = 0;
    for (std::size_t i = 0; i < 3; ++i)
        sum += (a[i] - b[i]) * (a[i] - b[i]);
    return sum;
}

/// The last two angles once the first is known: what is left is R2 R3.
Angles after_first(const Quat& q, const std::array<int, 3>& axes, double sign, double first) {
    const Mat3 m = to_matrix(axis_turn(axes[0], -first) * q);
    const int a = axes[0], b = axes[1], c = axes[2];
    return {first, arctan2(sign * m.row[a][c], m.row[c][c]), arctan2(sign * m.row[b][a], m.row[b][b])};
}

} // namespace

Quat axis_turn(int axis, double angle) {
    const SinCos half = sin_cos(0.5 * angle);
    Quat q = {0, 0, 0, half.cos};
    (axis == 0 ? q.x : axis == 1 ? q.y : q.z) = half.sin;
    return q;
}

Angles euler_angles(const Quat& q, const std::array<int, 3>& axes, const Angles& near) {
    const double sign =
        (axes[1] - axes[0] + 3) % 3 == 1 ? 1.0 : -1.0; // X Y Z and its rotations, or the mirror
    const Mat3 m = to_matrix(q);
    const double sine = -sign * m.row[axes[1]][axes[2]], cosine = m.row[axes[2]][axes[2]];
    // Near a quarter turn of the middle axis the first and last turn about the same line.
    const bool locked = sine * sine + cosine * cosine < 1e-14;
    const double first = locked ? near[0] : arctan2(sine, cosine);
    const Angles one = unwound(after_first(q, axes, sign, first), near);
    const Angles other = unwound({one[0] + pi, pi - one[1], one[2] + pi}, near);
    return locked || distance(one, near) <= distance(other, near) ? one : other;
}

} // namespace aplomb::io
