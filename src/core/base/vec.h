// SPDX-License-Identifier: MIT
// Three-vectors and 3x3 matrices, scalar on purpose: the same operations in the same order on every
// compiler and processor give the same bits.
#pragma once

#include <cmath>

namespace aplomb {

struct Vec3 {
    double x = 0, y = 0, z = 0;

    // By name: to reach y as (&x)[1] is undefined, and compilers make use of that.
    double& operator[](int i) { return i == 0 ? x : i == 1 ? y : z; }
    double operator[](int i) const { return i == 0 ? x : i == 1 ? y : z; }
    Vec3& operator+=(const Vec3& b) { return x += b.x, y += b.y, z += b.z, *this; }
    Vec3& operator-=(const Vec3& b) { return x -= b.x, y -= b.y, z -= b.z, *this; }
    Vec3& operator*=(double s) { return x *= s, y *= s, z *= s, *this; }
};

/// Without a value at first, for long arrays of which the count that is used gets one.
struct UnsetVec3 {
    double x, y, z;

    operator Vec3() const { return {x, y, z}; }
    UnsetVec3& operator=(const Vec3& v) { return x = v.x, y = v.y, z = v.z, *this; }
};

inline Vec3 operator+(const Vec3& a, const Vec3& b) {
    return {a.x + b.x, a.y + b.y, a.z + b.z};
}
inline Vec3 operator-(const Vec3& a, const Vec3& b) {
    return {a.x - b.x, a.y - b.y, a.z - b.z};
}
inline Vec3 operator-(const Vec3& a) {
    return {-a.x, -a.y, -a.z};
}
inline Vec3 operator*(const Vec3& a, double s) {
    return {a.x * s, a.y * s, a.z * s};
}
inline Vec3 operator*(double s, const Vec3& a) {
    return a * s;
}
inline Vec3 operator/(const Vec3& a, double s) {
    return a * (1.0 / s);
}
inline double dot(const Vec3& a, const Vec3& b) {
    return a.x * b.x + a.y * b.y + a.z * b.z;
}
inline Vec3 cross(const Vec3& a, const Vec3& b) {
    return {a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}
inline double norm(const Vec3& a) {
    return std::sqrt(dot(a, a));
}
inline Vec3 normalized(const Vec3& a) {
    return a / norm(a);
}
/// The part of `a` at right angles to the unit vector `n`.
inline Vec3 reject(const Vec3& a, const Vec3& n) {
    return a - n * dot(a, n);
}
/// Some unit vector at right angles to the unit vector `n`.
inline Vec3 any_perpendicular(const Vec3& n) {
    const Vec3 axis = std::fabs(n.x) < 0.6 ? Vec3{1, 0, 0} : Vec3{0, 0, 1};
    return normalized(reject(axis, n));
}

/// Row-major 3x3.
struct Mat3 {
    Vec3 row[3];

    static Mat3 identity() { return {{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}}; }
    static Mat3 from_columns(const Vec3& a, const Vec3& b, const Vec3& c) {
        return {{{a.x, b.x, c.x}, {a.y, b.y, c.y}, {a.z, b.z, c.z}}};
    }
    /// The matrix of `a x`.
    static Mat3 cross(const Vec3& a) { return {{{0, -a.z, a.y}, {a.z, 0, -a.x}, {-a.y, a.x, 0}}}; }
    /// The matrix `a b^T`.
    static Mat3 outer(const Vec3& a, const Vec3& b) { return {{b * a.x, b * a.y, b * a.z}}; }

    Vec3 column(int i) const { return {row[0][i], row[1][i], row[2][i]}; }
    Mat3& operator+=(const Mat3& b) {
        return row[0] += b.row[0], row[1] += b.row[1], row[2] += b.row[2], *this;
    }
};

inline Vec3 operator*(const Mat3& m, const Vec3& v) {
    return {dot(m.row[0], v), dot(m.row[1], v), dot(m.row[2], v)};
}
/// m^T v
inline Vec3 transposed_times(const Mat3& m, const Vec3& v) {
    return m.row[0] * v.x + m.row[1] * v.y + m.row[2] * v.z;
}
inline Mat3 operator*(const Mat3& a, const Mat3& b) {
    return {{transposed_times(b, a.row[0]), transposed_times(b, a.row[1]), transposed_times(b, a.row[2])}};
}
inline Mat3 operator*(const Mat3& a, double s) {
    return {{a.row[0] * s, a.row[1] * s, a.row[2] * s}};
}
inline Mat3 operator+(const Mat3& a, const Mat3& b) {
    return {{a.row[0] + b.row[0], a.row[1] + b.row[1], a.row[2] + b.row[2]}};
}
inline Mat3 operator-(const Mat3& a, const Mat3& b) {
    return a + b * -1.0;
}
inline Mat3 transpose(const Mat3& a) {
    return Mat3::from_columns(a.row[0], a.row[1], a.row[2]);
}

/// To three numbers of the caller's.
inline void put(double* out, const Vec3& v) {
    out[0] = v.x, out[1] = v.y, out[2] = v.z;
}

} // namespace aplomb
