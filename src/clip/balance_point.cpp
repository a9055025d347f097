// SPDX-License-Identifier: MIT
#include "clip/balance_point.h"

#include <cmath>
#include <limits>

namespace aplomb {
namespace {

constexpr double least_part = 0.2; // of the weight

} // namespace

bool motion_shift(const Moving* bodies, int count, const Vec3& origin, const Vec3& normal,
                  const Vec3& gravity, Vec3& shift) {
    Vec3 still_force, still_torque, force, torque;
    for (int k = 0; k < count; ++k) {
        const Moving& b = bodies[k];
        const Vec3 arm = b.centre - origin, weight = gravity * b.mass,
                   pressing = (gravity - b.acceleration) * b.mass;
        still_force += weight, still_torque += cross(arm, weight);
        force += pressing, torque += cross(arm, pressing) - b.momentum_rate;
    }
    // Shortly before a body leaves the ground and after it lands it hardly presses, and its torque, divided by next to
    // nothing, gives no point under it.
    if (!(dot(normal, force) < least_part * dot(normal, still_force))) return false;
    shift =
        cross(normal, torque) / dot(normal, force) - cross(normal, still_torque) / dot(normal, still_force);
    return true;
}

Vec3 extrapolated(const Vec3& under, const Vec3& velocity, double height, double gravity) {
    return under + velocity * std::sqrt(height / gravity);
}

double inside(const Vec3* corners, int count, const Vec3& normal, const Vec3& point) {
    double turns = 0; // twice the area: its sign says which way round the corners go
    for (int k = 2; k < count; ++k)
        turns += dot(normal, cross(corners[k - 1] - corners[0], corners[k] - corners[0]));
    double least = std::numeric_limits<double>::infinity();
    for (int k = 0; k < count; ++k) {
        const Vec3& a = corners[k];
        const Vec3 along = corners[k + 1 < count ? k + 1 : 0] - a;
        const Vec3 inwards = cross(normal, along) * (turns < 0 ? -1.0 : 1.0);
        const double length = norm(inwards);
        if (length > 0) least = std::fmin(least, dot(inwards, point - a) / length);
    }
    return least;
}

} // namespace aplomb
