// SPDX-License-Identifier: MIT
#include "moment/ground.h"

namespace aplomb {

Ground make_ground(const Vec3& origin, const Vec3& normal, const Vec3& gravity,
                   const Quat& hips_from_neutral) {
    // A figure that lies on its face or back heads where its crown points or where its feet do.
    Vec3 fore = reject(rotate(hips_from_neutral, {0, 0, 1}), normal);
    if (norm(fore) < 0.2) {
        const Vec3 forward = rotate(hips_from_neutral, {0, 0, 1});
        fore = reject(rotate(hips_from_neutral, {0, 1, 0}) * (dot(forward, normal) > 0 ? -1.0 : 1.0), normal);
    }
    fore = normalized(fore);
    return {origin, normal, fore, cross(normal, fore), gravity};
}

Pressing make_pressing(const Ground& ground, double mass, const Vec3& pull_sum) {
    Pressing p;
    p.mass = mass;
    p.force = ground.gravity * mass + pull_sum;
    p.normal_force = dot(ground.normal, p.force);
    pull_rows(ground, p, ground.gravity, p.fore_row, p.left_row);
    return p;
}

Vec2 pull_shift(const Ground& ground, const Pressing& pressing, const Vec3& point, const Vec3& force) {
    Vec3 fore_row, left_row;
    pull_rows(ground, pressing, force, fore_row, left_row);
    const Vec3 d = point - ground.origin;
    return {dot(fore_row, d), dot(left_row, d)};
}

void pull_rows(const Ground& ground, const Pressing& pressing, const Vec3& force, Vec3& fore_row,
               Vec3& left_row) {
    const double s = 1.0 / pressing.normal_force, along = dot(ground.normal, force);
    fore_row = (ground.fore * along - ground.normal * dot(ground.fore, force)) * s;
    left_row = (ground.left * along - ground.normal * dot(ground.left, force)) * s;
}

} // namespace aplomb
