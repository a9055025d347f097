// SPDX-License-Identifier: MIT
// One frame of a character: what its chains are driven by, how they move on, and what they do to the pose.
#pragma once

#include "follow/state.h"
#include "follow/swing.h"
#include "follow/swing_points.h"

namespace aplomb {

void reset_state(const Follow& follow, double* state);
/// Moves the state on and turns the chains' joints; `rotations` holds the pose's own already, and may be the pose's. With 0
/// seconds the state stays as it is.
void step(const Follow& follow, double* state, const FollowInput& input, Rest rest, void* rotations);
/// Moves one chain's state on.
void move_chain_state(const Follow& follow, const FollowChain& chain, double* state, const FollowInput& input,
                      Rest rest);
/// Turns the chains' joints as the state has them.
void turn_joints(const Follow& follow, const double* state, const HostPose& pose, void* rotations);
/// Sets the swing points of one chain as they are in this frame, with no velocity.
void set_drivers(const Follow& follow, const FollowChain& chain, const FollowInput& input,
                 const ChainState& state);
bool at_rest(const Follow& follow, const double* state);

} // namespace aplomb
