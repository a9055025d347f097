// SPDX-License-Identifier: MIT
// The border between a host's units and axes and ours.
#pragma once

#include "figure/figure.h"

namespace aplomb {

inline Vec3 length_in(const Frame& f, const Vec3& host) {
    return rotate(f.to_anatomical, host) * f.metres_per_unit;
}
inline Vec3 length_out(const Frame& f, const Vec3& ours) {
    return rotate(conjugate(f.to_anatomical), ours) / f.metres_per_unit;
}
inline Vec3 direction_in(const Frame& f, const Vec3& host) {
    return rotate(f.to_anatomical, host);
}
inline Vec3 direction_out(const Frame& f, const Vec3& ours) {
    return rotate(conjugate(f.to_anatomical), ours);
}
inline Quat rotation_in(const Frame& f, const Quat& host) {
    return f.to_anatomical * host * conjugate(f.to_anatomical);
}
inline Quat rotation_out(const Frame& f, const Quat& ours) {
    return conjugate(f.to_anatomical) * ours * f.to_anatomical;
}

/// Checks one pose (finite, unit rotations) and brings it inside, normalised.
aplomb_status pose_in(const Figure& figure, const double* translations, const double* rotations,
                      Vec3* inner_translations, Quat* inner_rotations, aplomb_error* error);

} // namespace aplomb
