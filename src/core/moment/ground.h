// SPDX-License-Identifier: MIT
// The ground plane, gravity, and the balance point: where the plumb line of masses and pulls, corrected for motion,
// meets the ground.
//
// With n the ground's normal, o a point of it, g gravity, a the acceleration of the centre of mass, L the angular
// momentum about it, f pulls at y,
//     F = sum m (g - a) + sum f,    tau = sum (x - o) x m (g - a) - dL/dt + sum (y - o) x f,
//     p = o + n x tau / (n.F),    valid while n.F < 0.
// This is M. Vukobratovic's zero-moment point, with pulls. Masses count only through their first moment.
#pragma once

#include "aplomb/aplomb.h"
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
    Vec3 felt;               // gravity less the acceleration of the centre of mass

    double height(const Vec3& point) const { return dot(normal, point - origin); }
    /// The point moved along gravity as it is felt into the plane.
    Vec2 project(const Vec3& point) const {
        const Vec3 d = point - origin;
        const Vec3 flat = d - felt * (dot(normal, d) / dot(normal, felt));
        return {dot(fore, flat), dot(left, flat)};
    }
    Vec3 lift(const Vec2& p) const { return origin + fore * p.fore + left * p.left; }
};

/// The plane through `origin`, with axes that follow the hips' heading.
Ground make_ground(const Vec3& origin, const Vec3& normal, const Vec3& gravity, const Vec3& acceleration,
                   const Quat& hips_from_neutral);

/// How the balance point follows a vector that it depends on: the two rows of its partial derivative.
struct Partials {
    Vec3 fore, left;

    Vec2 operator()(const Vec3& v) const { return {dot(fore, v), dot(left, v)}; }
    /// The gradient of weight . p.
    Vec3 pushed(const Vec2& weight) const { return fore * weight.fore + left * weight.left; }
};

/// Everything that presses the figure to the ground, except where masses and pulls are.
struct Pressing {
    double mass = 0;
    Vec3 force;              // F
    double normal_force = 0; // n.F, negative while pressing

    Partials moment; // of the masses' first moment about the ground's origin
    int pull_count = 0;
    Partials pull[APLOMB_MAX_PULLS]; // of where each pull acts, from the ground's origin
    Vec2 turning;                    // what the change of angular momentum alone does

    bool valid() const { return normal_force < 0; }
    /// The balance point; `pull_at(k)` says where a pull acts. All from the ground's origin.
    template<class PullAt>
    Vec2 balance_point(const Vec3& first_moment, PullAt pull_at) const {
        Vec2 p = moment(first_moment);
        for (int k = 0; k < pull_count; ++k)
            p = p + pull[k](pull_at(k));
        return p + turning;
    }
};

/// `pulls`: their forces; `momentum_rate`: dL/dt.
Pressing make_pressing(const Ground& ground, double mass, const Vec3* pulls, int pull_count,
                       const Vec3& momentum_rate);

} // namespace aplomb
