// SPDX-License-Identifier: MIT
// How the three parts of a fixed limb turn between the keyed and the corrected pose. A bearing limb, and an arm that
// holds a level load, follow their closed form. A held one keeps its place only as far as its joints allow: past their limits first the
// end's attitude gives, then its place.
#pragma once

#include "model/model.h"

namespace aplomb {

/// Turns in the world since the key.
struct LimbTurns {
    Quat upper, lower, end;
};

LimbTurns limb_turns(const Figure& figure, const Key& key, const FixedLimb& limb, const Quat& base_turn,
                     const Quat& end_turn, const TwoSpanState& state);

} // namespace aplomb
