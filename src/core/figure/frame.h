// SPDX-License-Identifier: MIT
// The border between a host's units and axes and ours.
#pragma once

#include "figure/figure.h"

namespace aplomb {

/// Left-handed host axes to right-handed ones and back: a reflection in x. It reverses turns about y and z.
inline Vec3 reflected(const Frame& f, const Vec3& v) {
    return f.left_handed ? Vec3{-v.x, v.y, v.z} : v;
}
inline Quat reflected(const Frame& f, const Quat& q) {
    return f.left_handed ? Quat{q.x, -q.y, -q.z, q.w} : q;
}

/// Whether the host's axes are others than ours.
inline bool turned(const Frame& f) {
    return f.to_anatomical.x != 0 || f.to_anatomical.y != 0 || f.to_anatomical.z != 0 || f.left_handed;
}

inline Vec3 direction_in(const Frame& f, const Vec3& host) {
    return rotate(f.to_anatomical, reflected(f, host));
}
inline Vec3 direction_out(const Frame& f, const Vec3& ours) {
    return reflected(f, rotate(conjugate(f.to_anatomical), ours));
}
inline Vec3 length_in(const Frame& f, const Vec3& host) {
    return direction_in(f, host) * f.metres_per_unit;
}
inline Vec3 length_out(const Frame& f, const Vec3& ours) {
    return direction_out(f, ours) / f.metres_per_unit;
}
inline Quat rotation_in(const Frame& f, const Quat& host) {
    return f.to_anatomical * reflected(f, host) * conjugate(f.to_anatomical);
}
inline Quat rotation_out(const Frame& f, const Quat& ours) {
    return reflected(f, conjugate(f.to_anatomical) * ours * f.to_anatomical);
}
/// What direction_in does, as a matrix.
inline Mat3 axes_in(const Frame& f) {
    const Mat3 m = to_matrix(f.to_anatomical);
    return f.left_handed ? Mat3::from_columns(-m.column(0), m.column(1), m.column(2)) : m;
}

/// For an angular momentum or a torque, whose sense a reflection reverses.
inline Vec3 turning_in(const Frame& f, const Vec3& host) {
    return direction_in(f, host) * (f.left_handed ? -1.0 : 1.0);
}

/// A pose as the host keeps it: doubles, or with `floats` floats.
struct HostPose {
    const void* translations;
    const void* rotations;
    bool floats;
};

/// Checks that both arrays of a pose are there, finite, and that its rotations are of unit length.
aplomb_status check_pose(const Figure& figure, const double* translations, const double* rotations,
                         aplomb_error* error);

/// Checks one pose (finite, unit rotations) and brings it inside, normalised.
aplomb_status pose_in(const Figure& figure, const HostPose& pose, Vec3* inner_translations,
                      Quat* inner_rotations, aplomb_error* error);

} // namespace aplomb
