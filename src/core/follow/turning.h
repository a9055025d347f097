// SPDX-License-Identifier: MIT
// The joints of a chain turned as its modes have it, as far as their limits leave.
#pragma once

#include "follow/pose_reader.h"
#include "follow/state.h"

namespace aplomb {

/// Turns joints whose keyed rotations were read; those that are not turned are not written. `pose`: the frame's own, for how its
/// numbers are written.
void turn_chain(const Figure& figure, const FollowChain& chain, const ChainState& state,
                const QuatPair* keyed, const PoseReader& pose, void* rotations);

} // namespace aplomb
