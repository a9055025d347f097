// SPDX-License-Identifier: MIT
#include "moment/ground.h"

namespace aplomb {

namespace {

/// Of where a force acts: (n.F)^-1 ((n.f) I - f n^T), in fore and left.
Partials partials_of(const Ground& ground, double normal_force, const Vec3& force) {
    const double s = 1.0 / normal_force, along = dot(ground.normal, force);
    return {(ground.fore * along - ground.normal * dot(ground.fore, force)) * s,
            (ground.left * along - ground.normal * dot(ground.left, force)) * s};
}

} // namespace

Ground make_ground(const Vec3& origin, const Vec3& normal, const Vec3& gravity, const Vec3& acceleration,
                   const Quat& hips_from_neutral) {
    // A figure that lies on its face or back heads where its crown points or where its feet do.
    Vec3 fore = reject(rotate(hips_from_neutral, {0, 0, 1}), normal);
    if (norm(fore) < 0.2) {
        const Vec3 forward = rotate(hips_from_neutral, {0, 0, 1});
        fore = reject(rotate(hips_from_neutral, {0, 1, 0}) * (dot(forward, normal) > 0 ? -1.0 : 1.0), normal);
    }
    fore = normalized(fore);
    return {origin, normal, fore, cross(normal, fore), gravity, gravity - acceleration};
}

Pressing make_pressing(const Ground& ground, double mass, const Vec3* pulls, int pull_count,
                       const Vec3& momentum_rate) {
    Pressing p;
    Vec3 pull_sum;
    for (int k = 0; k < pull_count; ++k)
        pull_sum += pulls[k];
    p.mass = mass;
    p.force = ground.felt * mass + pull_sum;
    p.normal_force = dot(ground.normal, p.force);
    p.moment = partials_of(ground, p.normal_force, ground.felt);
    p.pull_count = pull_count;
    for (int k = 0; k < pull_count; ++k)
        p.pull[k] = partials_of(ground, p.normal_force, pulls[k]);
    // n x -dL/dt / (n.F), with fore x left = n.
    p.turning = {dot(ground.left, momentum_rate) / p.normal_force,
                 -dot(ground.fore, momentum_rate) / p.normal_force};
    return p;
}

} // namespace aplomb
