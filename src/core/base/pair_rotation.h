// SPDX-License-Identifier: MIT
// Two vectors or two rotations side by side: the bits that vec.h and rotation.h give each of them.
#pragma once

#include "base/pair.h"
#include "base/rotation.h"

namespace aplomb {

struct Vec3Pair {
    Pair x, y, z;

    Vec3 operator[](int which) const { return {x[which], y[which], z[which]}; }
    Vec3Pair& operator+=(const Vec3Pair& b) { return x += b.x, y += b.y, z += b.z, *this; }
};
struct QuatPair {
    Pair x, y, z, w;

    Quat operator[](int which) const { return {x[which], y[which], z[which], w[which]}; }
};

inline Vec3Pair side_by_side(const Vec3& a, const Vec3& b) {
    return {Pair{a.x, b.x}, Pair{a.y, b.y}, Pair{a.z, b.z}};
}
inline QuatPair side_by_side(const Quat& a, const Quat& b) {
    return {Pair{a.x, b.x}, Pair{a.y, b.y}, Pair{a.z, b.z}, Pair{a.w, b.w}};
}

inline Vec3Pair operator+(const Vec3Pair& a, const Vec3Pair& b) {
    return {a.x + b.x, a.y + b.y, a.z + b.z};
}
inline Vec3Pair operator-(const Vec3Pair& a, const Vec3Pair& b) {
    return {a.x - b.x, a.y - b.y, a.z - b.z};
}
inline Vec3Pair operator*(const Vec3Pair& a, const Pair& s) {
    return {a.x * s, a.y * s, a.z * s};
}
inline Vec3Pair operator*(const Vec3Pair& a, double s) {
    return a * Pair{s, s};
}
inline Pair dot(const Vec3Pair& a, const Vec3Pair& b) {
    return a.x * b.x + a.y * b.y + a.z * b.z;
}
inline Vec3Pair cross(const Vec3Pair& a, const Vec3Pair& b) {
    return {a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}

inline Pair dot(const QuatPair& a, const QuatPair& b) {
    return a.x * b.x + a.y * b.y + a.z * b.z + a.w * b.w;
}
inline QuatPair operator*(const QuatPair& a, const QuatPair& b) {
    return {a.w * b.x + a.x * b.w + a.y * b.z - a.z * b.y, a.w * b.y - a.x * b.z + a.y * b.w + a.z * b.x,
            a.w * b.z + a.x * b.y - a.y * b.x + a.z * b.w, a.w * b.w - a.x * b.x - a.y * b.y - a.z * b.z};
}
inline QuatPair normalized(const QuatPair& q) {
    const Pair s = 1.0 / square_root(dot(q, q));
    return {q.x * s, q.y * s, q.z * s, q.w * s};
}
inline Vec3Pair rotate(const QuatPair& q, const Vec3Pair& v) {
    const Vec3Pair axis = {q.x, q.y, q.z}, t = cross(axis, v) * 2.0;
    return v + t * q.w + cross(axis, t);
}
/// rotate(conjugate(q), v)
inline Vec3Pair rotate_back(const QuatPair& q, const Vec3Pair& v) {
    const Vec3Pair axis = {q.x, q.y, q.z}, t = cross(v, axis) * 2.0;
    return v + t * q.w + cross(t, axis);
}
/// The rotations by |r| about r.
QuatPair exp_rotations(const Vec3Pair& r);

} // namespace aplomb
