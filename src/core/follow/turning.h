// SPDX-License-Identifier: MIT
// The joints of a chain turned as its modes have it, as far as their limits leave.
#pragma once

#include "follow/pose_reader.h"
#include "follow/state.h"

namespace aplomb {

/// Joints that are not turned are not written.
void turn_chain(const Figure& figure, const FollowChain& chain, const ChainState& state, const HostPose& pose,
                void* rotations);

} // namespace aplomb
