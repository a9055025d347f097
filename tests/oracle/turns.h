// SPDX-License-Identifier: MIT
// Vectors, matrices and rotations for any scalar type, so that Ceres' Jet gives exact derivatives. Constants
// may stay `double`. Series take over where a quotient would be 0 / 0; they are exact to rounding there.
#pragma once

#include <ceres/jet.h>

#include <Eigen/Core>
#include <cmath>

namespace full_space {

template<class T>
struct Vec {
    T x, y, z;
};
template<class T>
struct Mat {
    Vec<T> row[3];
};
using Point = Vec<double>;
using Turn = Mat<double>;

template<class A, class B>
using Of = decltype(A() * B());

template<class A, class B>
Vec<Of<A, B>> operator+(const Vec<A>& a, const Vec<B>& b) {
    return {a.x + b.x, a.y + b.y, a.z + b.z};
}
template<class A, class B>
Vec<Of<A, B>> operator-(const Vec<A>& a, const Vec<B>& b) {
    return {a.x - b.x, a.y - b.y, a.z - b.z};
}
template<class A, class B>
Vec<Of<A, B>> operator*(const Vec<A>& a, const B& s) {
    return {a.x * s, a.y * s, a.z * s};
}
template<class A, class B>
Of<A, B> dot(const Vec<A>& a, const Vec<B>& b) {
    return a.x * b.x + a.y * b.y + a.z * b.z;
}
template<class A, class B>
Vec<Of<A, B>> cross(const Vec<A>& a, const Vec<B>& b) {
    return {a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}
template<class T>
T norm(const Vec<T>& a) {
    using std::sqrt;
    return sqrt(dot(a, a));
}
template<class T>
Vec<T> unit(const Vec<T>& a) {
    return a * (T(1) / norm(a));
}

template<class A, class B>
Vec<Of<A, B>> operator*(const Mat<A>& m, const Vec<B>& v) {
    return {dot(m.row[0], v), dot(m.row[1], v), dot(m.row[2], v)};
}
template<class T>
Mat<T> transpose(const Mat<T>& m) {
    const auto& [a, b, c] = m.row;
    return {{{a.x, b.x, c.x}, {a.y, b.y, c.y}, {a.z, b.z, c.z}}};
}
template<class A, class B>
Mat<Of<A, B>> operator*(const Mat<A>& a, const Mat<B>& b) {
    const Mat<B> t = transpose(b);
    const auto row = [&](const Vec<A>& r) {
        return Vec<Of<A, B>>{dot(r, t.row[0]), dot(r, t.row[1]), dot(r, t.row[2])};
    };
    return {{row(a.row[0]), row(a.row[1]), row(a.row[2])}};
}
template<class T>
Mat<T> columns(const Vec<T>& a, const Vec<T>& b, const Vec<T>& c) {
    return {{{a.x, b.x, c.x}, {a.y, b.y, c.y}, {a.z, b.z, c.z}}};
}
template<class T = double>
Mat<T> identity() {
    return {{{T(1), T(0), T(0)}, {T(0), T(1), T(0)}, {T(0), T(0), T(1)}}};
}
template<class T>
Mat<T> lifted(const Turn& m) {
    Mat<T> out;
    for (int i = 0; i < 3; ++i)
        out.row[i] = {T(m.row[i].x), T(m.row[i].y), T(m.row[i].z)};
    return out;
}

inline double plain(double x) {
    return x;
}
template<class T, int n>
double plain(const ceres::Jet<T, n>& x) {
    return plain(x.a);
}

/// The rotation by |r| about r: I + a [r]x + b [r]x^2.
template<class T>
Mat<T> exp_turn(const Vec<T>& r) {
    const T q = dot(r, r);
    T a, b;
    if (plain(q) < 1e-2) {
        a = T(1) - q / 6. * (T(1) - q / 20. * (T(1) - q / 42. * (T(1) - q / 72.)));
        b = T(.5) - q / 24. * (T(1) - q / 30. * (T(1) - q / 56. * (T(1) - q / 90.)));
    } else {
        using std::cos;
        using std::sin;
        using std::sqrt;
        const T angle = sqrt(q);
        a = sin(angle) / angle;
        b = (T(1) - cos(angle)) / q;
    }
    const T c = T(1) - b * q; // [r]x^2 = r r^T - q I
    return {{{c + b * r.x * r.x, b * r.x * r.y - a * r.z, b * r.x * r.z + a * r.y},
             {b * r.x * r.y + a * r.z, c + b * r.y * r.y, b * r.y * r.z - a * r.x},
             {b * r.x * r.z - a * r.y, b * r.y * r.z + a * r.x, c + b * r.z * r.z}}};
}

/// angle / sin(angle) from the sine's square and the cosine.
template<class T>
T over_sine(const T& sine2, const T& cosine) {
    if (plain(sine2) < 1e-3 && plain(cosine) > 0) {
        const T& q = sine2;
        return T(1) + q / 6. * (T(1) + q * (9. / 20) * (T(1) + q * (25. / 42) * (T(1) + q * (49. / 72))));
    }
    using std::atan2;
    using std::sqrt;
    const T sine = sqrt(sine2);
    return atan2(sine, cosine) / sine;
}

/// The vector v with [v]x = (m - m^T) / 2: axis times the sine of the angle.
template<class T>
Vec<T> skew_part(const Mat<T>& m) {
    const Vec<T> twice{m.row[2].y - m.row[1].z, m.row[0].z - m.row[2].x, m.row[1].x - m.row[0].y};
    return twice * 0.5;
}

template<class T>
Vec<T> log_turn(const Mat<T>& m) {
    const Vec<T> v = skew_part(m);
    const T cosine = (m.row[0].x + m.row[1].y + m.row[2].z - T(1)) * 0.5;
    return v * over_sine<T>(dot(v, v), cosine);
}

/// The smallest turn from the unit vector `a` to `b`: I + [v]x + [v]x^2 / (1 + a.b), v = a x b.
template<class A, class T>
Mat<T> smallest_turn(const Vec<A>& a, const Vec<T>& b) {
    const Vec<T> v = cross(a, b);
    const T c = dot(a, b), k = T(1) / (T(1) + c);
    return {{{c + k * v.x * v.x, k * v.x * v.y - v.z, k * v.x * v.z + v.y},
             {k * v.x * v.y + v.z, c + k * v.y * v.y, k * v.y * v.z - v.x},
             {k * v.x * v.z - v.y, k * v.y * v.z + v.x, c + k * v.z * v.z}}};
}

/// A ball joint as swing (about left and forward) and twist about its bone, which hangs along -y in the
/// anatomical neutral.
template<class T>
Vec<T> swing_twist(const Mat<T>& m) {
    const Point bone{0, -1, 0};
    const Vec<T> now = m * bone, axis = cross(bone, now);
    const T ratio = over_sine<T>(dot(axis, axis), dot(bone, now));
    const Mat<T> twist = transpose(smallest_turn(bone, now)) * m;
    using std::atan2;
    return {axis.x * ratio, atan2(twist.row[0].z, twist.row[0].x), axis.z * ratio};
}

/// Columns: along, the hinge's part across, and across both.
template<class T>
Mat<T> span_frame(const Vec<T>& span, const Vec<T>& hinge) {
    const Vec<T> along = unit(span), across = unit<T>(hinge - along * dot(along, hinge));
    return columns(along, across, cross(along, across));
}

inline Point point_of(const Eigen::Vector3d& v) {
    return {v.x(), v.y(), v.z()};
}
inline Turn turn_of(const Eigen::Matrix3d& m) {
    return {{{m(0, 0), m(0, 1), m(0, 2)}, {m(1, 0), m(1, 1), m(1, 2)}, {m(2, 0), m(2, 1), m(2, 2)}}};
}

} // namespace full_space
