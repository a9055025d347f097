// SPDX-License-Identifier: MIT
#include "base/rotation.h"

#include "base/pair_rotation.h"

namespace aplomb {
namespace {

/// sin(x)/x and cos(x) by x^2 <= 1/4, without a root: the first term left out is below 1e-19.
constexpr double most_square = 0.25;

template<class Number>
Number sine_part(const Number& square) {
    const Number s = -square;
    Number p = s * (1.0 / 1307674368000.0) + 1.0 / 6227020800.0;
    p = s * p + 1.0 / 39916800.0;
    p = s * p + 1.0 / 362880.0;
    p = s * p + 1.0 / 5040.0;
    p = s * p + 1.0 / 120.0;
    p = s * p + 1.0 / 6.0;
    return s * p + 1.0;
}

template<class Number>
Number cosine_part(const Number& square) {
    const Number s = -square;
    Number p = s * (1.0 / 87178291200.0) + 1.0 / 479001600.0;
    p = s * p + 1.0 / 3628800.0;
    p = s * p + 1.0 / 40320.0;
    p = s * p + 1.0 / 720.0;
    p = s * p + 1.0 / 24.0;
    return 1.0 - (0.5 * square - square * square * p);
}

/// (1 - cos x)/x^2 and (x - sin x)/x^3 by x^2 <= 1/4.
double first_part(double s) {
    double p = 1.0 / 20922789888000.0;
    p = 1.0 / 87178291200.0 - s * p;
    p = 1.0 / 479001600.0 - s * p;
    p = 1.0 / 3628800.0 - s * p;
    p = 1.0 / 40320.0 - s * p;
    p = 1.0 / 720.0 - s * p;
    p = 1.0 / 24.0 - s * p;
    return 0.5 - s * p;
}

double second_part(double s) {
    double p = 1.0 / 1307674368000.0;
    p = 1.0 / 6227020800.0 - s * p;
    p = 1.0 / 39916800.0 - s * p;
    p = 1.0 / 362880.0 - s * p;
    p = 1.0 / 5040.0 - s * p;
    p = 1.0 / 120.0 - s * p;
    return 1.0 / 6.0 - s * p;
}

} // namespace

Mat3 to_matrix(const Quat& q) {
    const double xx = 2 * q.x * q.x, yy = 2 * q.y * q.y, zz = 2 * q.z * q.z;
    const double xy = 2 * q.x * q.y, xz = 2 * q.x * q.z, yz = 2 * q.y * q.z;
    const double wx = 2 * q.w * q.x, wy = 2 * q.w * q.y, wz = 2 * q.w * q.z;
    return {
        {{1 - yy - zz, xy - wz, xz + wy}, {xy + wz, 1 - xx - zz, yz - wx}, {xz - wy, yz + wx, 1 - xx - yy}}};
}

Quat to_quat(const Mat3& m) {
    const double xx = m.row[0].x, yy = m.row[1].y, zz = m.row[2].z;
    const double xy = m.row[0].y + m.row[1].x, xz = m.row[0].z + m.row[2].x, yz = m.row[1].z + m.row[2].y;
    const Vec3 skew = {m.row[2].y - m.row[1].z, m.row[0].z - m.row[2].x, m.row[1].x - m.row[0].y};
    // Four equivalent forms; the one with the largest pivot loses no digits.
    Quat q;
    if (xx + yy + zz > 0) {
        q = {skew.x, skew.y, skew.z, 1 + xx + yy + zz};
    } else if (xx >= yy && xx >= zz) {
        q = {1 + xx - yy - zz, xy, xz, skew.x};
    } else if (yy >= zz) {
        q = {xy, 1 - xx + yy - zz, yz, skew.y};
    } else {
        q = {xz, yz, 1 - xx - yy + zz, skew.z};
    }
    return normalized(q);
}

Quat exp_rotation(const Vec3& r) {
    const double t2 = dot(r, r);
    if (t2 <= 4.0 * most_square) {
        const double k = 0.5 * sine_part(0.25 * t2);
        return {r.x * k, r.y * k, r.z * k, cosine_part(0.25 * t2)};
    }
    const double t = std::sqrt(t2);
    const SinCos half = sin_cos(0.5 * t);
    const double k = half.sin / t;
    return {r.x * k, r.y * k, r.z * k, half.cos};
}

QuatPair exp_rotations(const Vec3Pair& r) {
    const Pair t2 = dot(r, r);
    if (!(t2[0] <= 4.0 * most_square && t2[1] <= 4.0 * most_square))
        return side_by_side(exp_rotation(r[0]), exp_rotation(r[1]));
    const Pair k = 0.5 * sine_part<Pair>(0.25 * t2);
    return {r.x * k, r.y * k, r.z * k, cosine_part<Pair>(0.25 * t2)};
}

Vec3 log_rotation(const Quat& q) {
    const double sign = q.w < 0 ? -1.0 : 1.0;
    const Vec3 v = q.vec() * sign;
    const double s2 = dot(v, v), w = q.w * sign;
    if (s2 < 1e-9) return v * (2.0 + s2 / 3.0); // asin series: the angle is 2 s (1 + s^2/6)
    const double s = std::sqrt(s2);
    return v * (2.0 * arctan2(s, w) / s);
}

Quat rotation_between(const Vec3& a, const Vec3& b) {
    const double c = dot(a, b);
    if (c < -1.0 + 1e-12) {
        const Vec3 axis = any_perpendicular(a);
        return {axis.x, axis.y, axis.z, 0};
    }
    const Vec3 v = cross(a, b);
    return normalized(Quat{v.x, v.y, v.z, 1.0 + c});
}

Mat3 exp_jacobian(const Vec3& r) {
    const double t2 = dot(r, r);
    double a, b; // J = I + a [r]x + b [r]x^2
    if (t2 <= most_square) {
        a = first_part(t2);
        b = second_part(t2);
    } else {
        const double t = std::sqrt(t2);
        const SinCos sc = sin_cos(t);
        a = (1.0 - sc.cos) / t2;
        b = (t - sc.sin) / (t2 * t);
    }
    const Vec3 u = r * a, v = r * b; // [r]x^2 = r r' - t^2
    const double d = 1.0 - t2 * b;
    const double xy = v.x * r.y, xz = v.x * r.z, yz = v.y * r.z;
    return {{{d + v.x * r.x, xy - u.z, xz + u.y},
             {xy + u.z, d + v.y * r.y, yz - u.x},
             {xz - u.y, yz + u.x, d + v.z * r.z}}};
}

Mat3 log_jacobian(const Vec3& r) {
    const double t2 = dot(r, r);
    double b; // J^-1 = I - [r]x / 2 + b [r]x^2
    if (t2 < 1e-4) {
        b = 1.0 / 12.0 + t2 / 720.0 + t2 * t2 / 30240.0;
    } else {
        const double half = 0.5 * std::sqrt(t2);
        const SinCos sc = sin_cos(half);
        b = (1.0 - half * sc.cos / sc.sin) / t2;
    }
    const Mat3 k = Mat3::cross(r);
    return Mat3::identity() - k * 0.5 + k * k * b;
}

} // namespace aplomb
