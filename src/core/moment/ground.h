// SPDX-License-Identifier: MIT
// The ground plane, gravity, and where the plumb line of masses and pulls meets the ground.
//
// With F the sum of all forces on the figure but the ground's and tau their moment about a ground point o,
//     p = o + n x tau / (n.F),    valid while n.F < 0.
// At rest every mass contributes m (x - o) x g, so p depends on the masses only through their first moment.
#pragma once

#include "base/rotation.h"

namespace aplomb {

/// A point of the ground plane: along the hips' heading, and to its left.
struct Vec2 {
    double fore = 0, left = 0;
};
inline Vec2 operator+(const Vec2& a, const Vec2& b) {
    return {a.fore + b.fore, a.left + b.left};
}
inline Vec2 operator-(const Vec2& a, const Vec2& b) {
    return {a.fore - b.fore, a.left - b.left};
}
inline Vec2 operator*(const Vec2& a, double s) {
    return {a.fore * s, a.left * s};
}
inline double dot(const Vec2& a, const Vec2& b) {
    return a.fore * b.fore + a.left * b.left;
}
inline double cross(const Vec2& a, const Vec2& b) {
    return a.fore * b.left - a.left * b.fore;
}
inline double norm(const Vec2& a) {
    return std::sqrt(dot(a, a));
}

/// The plane that margins are measured in. Seen from above, `fore` to `left` turns counter-clockwise.
struct Ground {
    Vec3 origin;             // a point of the plane, near the figure
    Vec3 normal, fore, left; // unit, right-handed: fore x left = normal
    Vec3 gravity;            // m/s^2

    double height(const Vec3& point) const { return dot(normal, point - origin); }
    /// The point moved along gravity into the plane.
    Vec2 project(const Vec3& point) const {
        const Vec3 d = point - origin;
        const Vec3 flat = d - gravity * (dot(normal, d) / dot(normal, gravity));
        return {dot(fore, flat), dot(left, flat)};
    }
    Vec3 lift(const Vec2& p) const { return origin + fore * p.fore + left * p.left; }
};

/// The plane through `origin`, with axes that follow the hips' heading.
Ground make_ground(const Vec3& origin, const Vec3& normal, const Vec3& gravity,
                   const Quat& hips_from_neutral);

/// Everything that presses the figure to the ground, but for where the masses are.
struct Pressing {
    double mass = 0;
    Vec3 force;              // F
    double normal_force = 0; // n.F, negative while pressing

    /// How the balance point follows a mass's first moment about the ground's origin: p = (fore, left) .
    /// moment.
    Vec3 fore_row, left_row;
    bool valid() const { return normal_force < 0; }
};

Pressing make_pressing(const Ground& ground, double mass, const Vec3& pull_sum);

/// p's two components for a force acting at a point: (n.F)^-1 L(f) (y - o), with L(f) = (n.f) I - f n^T.
Vec2 pull_shift(const Ground& ground, const Pressing& pressing, const Vec3& point, const Vec3& force);
/// The two gradients of pull_shift with respect to the point.
void pull_rows(const Ground& ground, const Pressing& pressing, const Vec3& force, Vec3& fore_row,
               Vec3& left_row);

} // namespace aplomb
