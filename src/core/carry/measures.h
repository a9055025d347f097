// SPDX-License-Identifier: MIT
// What a load asks of a body, measured once: how heavy it is for it, what of it is still to be countered, which leg
// stands, what each arm carries. Everything here is smooth in the pose and zero without a cause.
#pragma once

#include "base/smooth.h"
#include "moment/key.h"
#include "support/aim.h"

namespace aplomb {

/// +1 to the left, -1 to the right.
inline double sign_of(aplomb_side side) {
    return side == APLOMB_SIDE_LEFT ? 1 : side == APLOMB_SIDE_RIGHT ? -1 : 0;
}

inline constexpr double most_part =
    1.25; // a body carries no more than this without looking a cartoon: by eye

struct ArmMeasure {
    double part = 0;      // of the body's mass that this hand carries alone
    double shoulder = 0;  // that lies on this side's shoulder
    double both = 0;      // that both hands carry
    double hang = 0;      // 1: hangs straight down, 0: keyed to do something
    bool is_free = false; // neither held nor bearing
};

struct Measures {
    double body = 0, leg = 0;       // kg, metres
    double half_hips = 0;           // half the distance of the hip joints
    double part = 0;                // r: loads over body, at most 1.25
    double front = 0;               // of it what lies ahead of the body's own plumb line
    Vec2 counter;                   // d = q - p1: what the loads still ask for
    Vec2 pulled;                    // the same of the pulls
    double aside = 0;               // lambda: the size of its part to a side, of the leg
    double one_sided = 0;           // T: -1 (all at the right) to 1 (left)
    double phi = 0;                 // how far home is asked for, of an unshaped rest point
    bool on_two_legs = false;       // a left and a right leg and no further one
    int leg_limb[2] = {-1, -1};     // left, right, of such a body
    double bearing[max_limbs] = {}; // per limb, 0 to 1
    double stand = 0;               // the left leg's bearing less the right one's
    double lift = 0;                // its size
    ArmMeasure arm[max_limbs];
    int level[2] = {-1, -1}; // the limbs whose hands carry loads between them
};

/// How far a leg's thigh is ahead of plumb, radians.
double thigh_ahead(const Figure& figure, const Key& key, int leg);

Measures measure_carry(const Figure& figure, const Key& key, const Aim& aim);

} // namespace aplomb
