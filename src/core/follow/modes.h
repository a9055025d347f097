// SPDX-License-Identifier: MIT
// The modes of a chain at its rest shape.
#pragma once

#include "follow/plan.h"

namespace aplomb {

/// Everything below a joint as one rigid body; world axes of the rest pose.
struct RigidBody {
    double mass = 0;
    Vec3 centre;
    Mat3 inertia = {}; // about the centre
};

/// Working memory.
struct ModeScratch {
    RigidBody below[APLOMB_MAX_CHAIN_JOINTS];
    Vec3 place[APLOMB_MAX_CHAIN_JOINTS];
    Vec3 axis[max_swing_axes]; // world
    int32_t joint_of[max_swing_axes];
    double length[APLOMB_MAX_CHAIN_JOINTS];
    double mass_matrix[max_swing_axes * max_swing_axes], vectors[max_swing_axes * max_swing_axes];
    double stiffness[max_swing_axes];
};

/// Fills joints (their `joint` is set), shape, rate and damping. `rest` places all joints of the figure in the world.
aplomb_status make_modes(const Figure& figure, const Placement* rest, double gravity, ModeScratch& scratch,
                         FollowChain& chain, int32_t index, aplomb_error* error);

/// How many axes a joint swings about.
int32_t swing_axis_count(const Figure& figure, int32_t joint);

} // namespace aplomb
