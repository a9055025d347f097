// SPDX-License-Identifier: MIT
#include "figure/mesh_moments.h"

namespace aplomb {

void VolumeMoments::add(const Vec3& a, const Vec3& b, const Vec3& c) {
    const double part = dot(a, cross(b, c)) / 6;
    const Vec3 sum = a + b + c;
    volume += part;
    first += sum * (part / 4);
    second +=
        (Mat3::outer(sum, sum) + Mat3::outer(a, a) + Mat3::outer(b, b) + Mat3::outer(c, c)) * (part / 20);
}

VolumeMoments& VolumeMoments::operator+=(const VolumeMoments& other) {
    volume += other.volume;
    first += other.first;
    second += other.second;
    return *this;
}

Mat3 VolumeMoments::central_second() const {
    return second - Mat3::outer(first, first) * (1 / volume);
}

Mat3 VolumeMoments::inertia() const {
    const Mat3 s = central_second();
    return Mat3::identity() * (s.row[0].x + s.row[1].y + s.row[2].z) - s;
}

bool VolumeMoments::is_solid() const {
    if (!(volume > 0)) return false;
    // Positive definite where all leading minors are positive (Sylvester).
    const Mat3 s = central_second();
    const double minor = s.row[0].x * s.row[1].y - s.row[0].y * s.row[1].x;
    return s.row[0].x > 0 && minor > 0 && dot(s.row[0], cross(s.row[1], s.row[2])) > 0;
}

} // namespace aplomb
