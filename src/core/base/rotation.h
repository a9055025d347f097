// SPDX-License-Identifier: MIT
// Rotations as unit quaternions (x, y, z, w), rotation vectors, and the derivatives that join them.
// Formulas: J. Sola et al., "A micro Lie theory for state estimation in robotics", 2018, appendix B.
#pragma once

#include "base/trig.h"
#include "base/vec.h"

namespace aplomb {

struct Quat {
    double x = 0, y = 0, z = 0, w = 1;
    Vec3 vec() const { return {x, y, z}; }
};

inline void put(double* out, const Quat& q) {
    out[0] = q.x, out[1] = q.y, out[2] = q.z, out[3] = q.w;
}

inline Quat operator*(const Quat& a, const Quat& b) {
    return {a.w * b.x + a.x * b.w + a.y * b.z - a.z * b.y, a.w * b.y - a.x * b.z + a.y * b.w + a.z * b.x,
            a.w * b.z + a.x * b.y - a.y * b.x + a.z * b.w, a.w * b.w - a.x * b.x - a.y * b.y - a.z * b.z};
}
inline Quat conjugate(const Quat& q) {
    return {-q.x, -q.y, -q.z, q.w};
}
inline double dot(const Quat& a, const Quat& b) {
    return a.x * b.x + a.y * b.y + a.z * b.z + a.w * b.w;
}
inline Quat normalized(const Quat& q) {
    const double s = 1.0 / std::sqrt(dot(q, q));
    return {q.x * s, q.y * s, q.z * s, q.w * s};
}
inline Vec3 rotate(const Quat& q, const Vec3& v) {
    const Vec3 t = 2.0 * cross(q.vec(), v);
    return v + q.w * t + cross(q.vec(), t);
}

Mat3 to_matrix(const Quat& q);
/// `m` must be a proper rotation.
Quat to_quat(const Mat3& m);
/// The rotation by |r| about r.
Quat exp_rotation(const Vec3& r);
/// The shortest rotation vector of q, at most pi long.
Vec3 log_rotation(const Quat& q);
/// The smallest rotation that takes the unit vector `a` to the unit vector `b`.
Quat rotation_between(const Vec3& a, const Vec3& b);

/// J with  d exp(r) = [J(r) dr]x exp(r):  the turn, in the outer frame, that a change of r makes.
Mat3 exp_jacobian(const Vec3& r);
/// Its inverse:  d log = J^-1 w  for a turn w in the outer frame.
Mat3 log_jacobian(const Vec3& r);

} // namespace aplomb
