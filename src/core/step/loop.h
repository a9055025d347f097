// SPDX-License-Identifier: MIT
// One frame of a motion: what it needs, the answer to that, and how far the correction comes on its way there.
#pragma once

#include "balance/balance.h"
#include "step/follower.h"
#include "step/need.h"

namespace aplomb {

struct Step {
    const Figure& figure;
    const BodyPlan& plan;
    const aplomb_options& options;
    const Clock& clock;
    const Stride& stride;
    const Ahead& ahead;
    Vec2 swing;        // of the balance point, by what swings: edges and margins alone know it
    double landed = 0; // seconds of the stride that a landing has just ended
    bool told = false; // the caller reads how the correction came about
};

/// True where the hips are further than this, of the leg's length, from where the body's own speed takes them.
bool is_teleported(const Figure& figure, const Key& s, double seconds, double most_way,
                   const StepMemory& memory);
/// How the body moves and how high it is, for all that follows. Before the stance.
void remember_body(const Figure& figure, const Clock& clock, const Key& s, StepMemory& memory);

/// Fills a new `correction`; the bench then has the joints written that it names as changed. `s` has its stance.
void take_step(const Step& step, Key& s, Workbench& bench, StepMemory& memory, Correction& correction);

/// What a pose that comes in so many seconds needs.
Need need_ahead(const Figure& figure, const BodyPlan& plan, const aplomb_options& options, const Clock& clock,
                const StepMemory& memory, const Key& ahead, double seconds);

} // namespace aplomb
