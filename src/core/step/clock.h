// SPDX-License-Identifier: MIT
// What a frame brings beside its pose. All times of the loop are those of a leg of 0.9 m and go with the square root of its
// length, as a pendulum's do.
#pragma once

#include <algorithm>
#include <cmath>

#include "base/exponential.h"
#include "base/smooth.h"
#include "moment/key.h"

namespace aplomb {

/// The figure's centre of mass; the hips where next to no mass makes it no place.
inline Vec3 centre_of(const Figure& figure, const Body& body) {
    const Vec3 centre = body.first_moment / figure.total_mass;
    return std::isfinite(norm(centre)) ? centre : body.world[figure.hips].position;
}

// Callers may say anything, frames that are days apart too. Less than the first counts as no time; after the second
// all that the loop does has come to its end.
inline constexpr double shortest_frame = 1e-6, longest_frame = 60; // seconds
inline constexpr double fastest = 1e6;                             // m/s

struct Clock {
    double seconds = 0;    // since the last frame: 0, or between the bounds above
    double scale = 1;      // of all times
    double walk_speed = 0; // sqrt(g leg): speeds are parts of it
    Vec3 drift;            // of the character against the ground as far as the pose does not show it, m/s
    bool anew = false;     // nothing came before

    /// Of something that has gone this way since the last frame.
    Vec3 velocity(const Vec3& way) const {
        const Vec3 v = way / seconds;
        const double speed = norm(v);
        return speed > fastest ? v * (fastest / speed) : v;
    }
    /// How far a ramp or a count goes on.
    double part(double of_seconds) const { return seconds / (of_seconds * scale); }
    /// How much of what is new a low pass takes.
    double fresh(double of_seconds) const { return 1.0 - exp_negative(part(of_seconds)); }
};

} // namespace aplomb
