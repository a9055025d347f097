// SPDX-License-Identifier: MIT
// What the frames need, filtered as a body can answer it.
//
// A body that stays over its feet obeys  d - T^2 d'' = a,  with a the need of the moment, d the way of the centre of mass,
// T^2 = h/g of its height h: an inverted pendulum (as in 6.1 of whole clips). Its bounded answer is a causal low pass of an
// anti-causal one,
//     xi(t) = integral over s >= 0 of e^(-s/T)/T a(t+s),    T d' = xi - d,
// so what is to come is asked for: the last stride once more, as far as strides are alike, and a pose that is shown ahead.
#pragma once

#include "moment/key.h"
#include "step/clock.h"
#include "step/memory.h"
#include "support/aim.h"

namespace aplomb {

/// What is shown of the time to come.
struct Ahead {
    double seconds = 0; // 0: nothing
    Need need;
};

/// The way to a rest point, in world axes. In motion it is at most 0.15 of the leg's length, as single poses may be far from
/// their feet.
/// A first frame of which no motion is known may be one of a walk, so its hips hardly answer the support yet.
/// A body that leaves its feet by its own `velocity`, of the centre of mass, for a jump or a step, is not led back over them.
Need need_of(const Figure& figure, const Clock& clock, const StepMemory& memory, const Vec3& velocity,
             const Key& s, const Aim& aim);
/// 0 at rest, 1 in motion, or where nothing is known of it.
double motion_of(const Clock& clock, const StepMemory& memory);
/// A first frame that does not say how it moves.
bool is_motion_unknown(const Clock& clock, const StepMemory& memory);

/// How much a body travels, and where to.
Travel travel_of(const Clock& clock, const StepMemory& memory, const Ground& ground);

/// What the balance point and the hips are to do now; the memory goes on by one frame. `stride`: seconds of one that has
/// just ended, or 0; `behind`: how late the correction will be, in seconds, which is taken out.
Need filter_need(const Clock& clock, const Ground& ground, const Need& now, const Ahead& ahead, double stride,
                 double behind, StepMemory& memory);

} // namespace aplomb
