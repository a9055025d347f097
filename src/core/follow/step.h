// SPDX-License-Identifier: MIT
// One frame of a character: what its chains are driven by, how they move on, and what they do to the pose.
#pragma once

#include "figure/frame.h"
#include "follow/state.h"

namespace aplomb {

/// Input that was checked.
struct FollowInput {
    HostPose pose, keyed; // keyed.rotations null: the pose is the keyed one
    Placement character;  // metres, anatomical axes
    double seconds = 0;
};

/// Whether chains that are nearly still are set to rest; a loop would then not close.
enum class Rest { comes, never };

void reset_state(const Follow& follow, double* state);
/// Moves the state on; with 0 seconds it stays as it is.
void move_state(const Follow& follow, double* state, const FollowInput& input, Rest rest);
/// The same for one chain alone.
void move_chain_state(const Follow& follow, const FollowChain& chain, double* state, const FollowInput& input,
                      Rest rest);
/// Turns the chains' joints; `rotations` holds the pose's own already.
void turn_joints(const Follow& follow, const double* state, const HostPose& pose, void* rotations);
/// Sets the swing points of one chain as they are in this frame, with no velocity.
void set_drive(const Follow& follow, const FollowChain& chain, const FollowInput& input, ChainState& state);
bool at_rest(const Follow& follow, const double* state);

} // namespace aplomb
