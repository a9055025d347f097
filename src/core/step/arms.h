// SPDX-License-Identifier: MIT
// What a load makes of arms, girdles, neck and a level load's height on their own, from frame to frame: closed forms of
// each frame, that go to where they are asked to be like all other numbers of a correction.
#pragma once

#include "model/model.h"
#include "step/follower.h"

namespace aplomb {

/// How much of what a load does is asked of a frame: of a body that carries nothing nothing, as its motion has a manner of its
/// own; all of it from a load or pull of 2 % of the body on.
double heft_of(const Figure& figure, const Key& s, double heft);

/// Puts what has been reached in place of what `carriage` asks for.
void follow_arms(const Figure& figure, const Key& s, const Clock& clock, const Stride& stride, double amount,
                 Carriage& carriage, StepMemory& memory);

/// Reads off the placed model how arms are that do not go by numbers of their own, as they hold a level load or keep one
/// clear of a leg: from there they go on when they let it go.
void read_arms(const Figure& figure, const Reduction& reduction, const ModelState& state, StepMemory& memory);

} // namespace aplomb
