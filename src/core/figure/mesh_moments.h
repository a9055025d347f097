// SPDX-License-Identifier: MIT
// Volume and its moments inside a closed surface, as a sum of signed tetrahedra from the origin to every
// triangle. Formula: F. Tonon, "Explicit exact formulas for the 3-D tetrahedron inertia tensor in terms of its
// vertex coordinates", Journal of Mathematics and Statistics 1(1), 2004.
#pragma once

#include "base/vec.h"

namespace aplomb {

struct VolumeMoments {
    double volume = 0;
    Vec3 first;       // integral of x
    Mat3 second = {}; // integral of x x^T

    /// One triangle, counter-clockwise seen from outside.
    void add(const Vec3& a, const Vec3& b, const Vec3& c);
    VolumeMoments& operator+=(const VolumeMoments& other);

    Vec3 centre() const { return first / volume; }
    /// About the centre.
    Mat3 central_second() const;
    /// Inertia about the centre, at density 1.
    Mat3 inertia() const;
    /// Whether some solid can have these moments.
    bool is_solid() const;
};

} // namespace aplomb
