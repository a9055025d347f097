// SPDX-License-Identifier: MIT
// Where the weight belongs: home, and the rest point that a correction aims at. Of points of the ground and plain numbers.
//
// Home h is the point of the centre lines' hull nearest to p_u, the balance point without loads and with the
// trunk upright. q is the point of the segment p0 p1 (without and with loads) nearest to h; the rest point is
// q + phi (h - q), where phi rises smoothly from 0 to 1 as q's margin falls from the margin asked for to 8 %
// of the leg's length below it. So a load is countered in proportion and an unloaded pose in balance stays.
// A pull counts as a load: p0 is without it, p1 with it.
// As far as `heft` says, a part of what a load (never a pull) asks for is let go, q' for q: in a long stance the balance point
// need not come all the way back. The aim keeps the margin, too: phi' is at least about the part of the way home at which
// the margin is met.
//
// With two bearing feet a load moves home towards even shares, by R a / sqrt(R^2 + a^2): R is how far home is, along the join of
// the feet's middles, from the line midway between them, a is half of how far the load moves the balance point that way. So
// it helps to set the feet further apart, or one ahead.
#pragma once

#include "support/even_forces.h"
#include "support/support.h"

namespace aplomb {

struct Aim {
    Vec2 home;
    Vec2 own_point;      // p0
    Vec2 q, countered;   // q and q'
    double of_loads = 1; // the part of p1 - p0 that is the loads', the rest is the pulls'
    double phi = 0;      // at q
    Vec2 rest_point;
    Vec2 hips_way; // the part of the way that the hips answer, phi' (h - q') or the wished shares' shift
};

/// Along its travel a body need not come home: it is on its way to the next foot, and how it leans there is its own.
struct Travel {
    Vec2 direction;  // unit
    double part = 0; // 0: at rest, 1: well on its way
};

/// Two feet that bear alone.
struct TwoFeet {
    double set = 0; // 1: both are set down; 0: there is no such pair
    Vec2 middle[2]; // of their home lines
};

struct AimInput {
    const Support& support;
    Vec2 upright;                  // p_u
    Vec2 own_point, balance_point; // p0, p1
    double of_loads;               // the part of p1 - p0 that is the loads', the rest is the pulls'
    double body, load;             // kg
    double leg, sole;              // lengths
    double heft;
    Travel travel;
    TwoFeet feet = {};
};
Aim find_aim(const AimInput& in);

/// What a contact is wished to bear, and the line on the ground where it has its own home.
struct Wish {
    double share; // NaN: none
    Vec2 home[2];
};
/// Moves home and rest point so that the contacts bear the wished shares. `points`: the contacts', as many as wishes.
void heed_wishes(const Wish* wishes, int count, const BearingPoints& points, const Area& area, double leg,
                 Aim& aim);

} // namespace aplomb
