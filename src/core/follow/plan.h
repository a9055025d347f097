// SPDX-License-Identifier: MIT
// Chains made ready to step: their modes, what drives them, and where they find what carries them.
//
// One oscillator per joint, each driving the next, would amplify from joint to joint (a tail of five joints 42-fold). So a
// chain swings in the modes of its whole mass: M q'' + K q = torques, with everything below a joint lumped at the rest
// shape, and K in proportion to what each joint carries, so that a joint cut in two bends like the one that it was.
#pragma once

#include "aplomb/follow.h"
#include "base/pair_rotation.h"
#include "figure/figure.h"
#include "follow/oscillator.h"

namespace aplomb {

class Layout;

inline constexpr int max_swing_axes = 2 * APLOMB_MAX_CHAIN_JOINTS;
inline constexpr int max_bearers = 128;

/// What a plan is made of: the chains that a caller asks for, and the numbers that go with them.
/// All of it is checked (capi/follow_desc).
struct FollowAsk {
    int32_t chain_count = 0;
    aplomb_chain chains[APLOMB_MAX_CHAINS];
    double gravity = 0;    // what stiffness is measured by
    double frame_time = 0; // the frame time that steps are prepared for; 0: none
};

int32_t length_of(const Figure& figure, const aplomb_chain& chain);

struct FollowJoint {
    int32_t joint = -1;
    int32_t axis_count = 0, first_axis = 0; // first_axis counts among the chain's axes
    Vec3 axis[2];                           // that the joint swings about, in its own frame
    Vec3 push[2]; // torque about each of them per unit acceleration of the swing point
    // The joint's centre of oscillation: I / (m |c|) away from the joint, towards the centre of mass.
    Vec3 swing_point;
    Vec3 rest_point; // the same in the world, in the rest pose
    bool limited = false;
};

/// What a step knows of two joints of a chain, the second below the first. Of an odd number the last stands beside itself, and
/// what comes of its second place is not used.
struct JointPair {
    int32_t joint[2];
    int32_t count; // 1: there is no second one
    bool limited;  // one of them is
    int32_t first_axis[2];
    const double *shape[2],
        *last_shape[2];        // rows of the chain's shape, for the first axis of each and its last
    Vec3Pair axis[2], push[2]; // zero for an axis that is not there
    Vec3Pair swing_point, rest_point;
    QuatPair rest_rotation;
    // A joint's turn from the neutral, number by number, of its rotation's numbers; and what limits that turn.
    Pair turn_of_rotation[4][4];
    Pair lowest[3], highest[3];
};

/// What stiffens: products of the turning rate's components (xx, yy, zz, xy, xz, yz), then the acceleration of the first
/// joint's swing point; both in that joint's frame.
inline constexpr int stiffenings = 9;

/// What a step knows of two modes.
struct ModePair {
    OscillatorPair oscillators;
    Pair softness;                // 1 / rate^2
    Pair stiffening[stiffenings]; // what 1 of each adds to the stiffness, over the stiffness
};

struct FollowChain {
    aplomb_chain set;
    int32_t joint_count = 0, axis_count = 0; // as many modes as axes
    int32_t bearer = -1;                     // which of the plan's bearers carries it
    FollowJoint* joints = nullptr;
    JointPair* joint_pairs = nullptr;
    double* shape = nullptr; // [axis][mode], shape_width() of either; zero beyond the last
    double* rate = nullptr;  // of each mode, slowest first
    double* damping = nullptr;
    // With one of the two slowest modes further off than this, some joint is turned by more than a radian.
    double reach[2] = {};
    ModePair* pairs = nullptr;
    PropagatorPair* usual = nullptr; // for the plan's frame time
    int32_t state_offset = 0;
    // A step moves two modes at once; of an odd number the last goes with one that is zero.
    int32_t pair_count = 0;

    int32_t shape_width() const { return 2 * pair_count; }
    int32_t joint_pair_count() const { return (joint_count + 1) / 2; }
};

struct Follow {
    aplomb_allocator allocator{};
    size_t block_size = 0;
    const Figure* figure = nullptr;
    double frame_time = 0;
    double mark = 0; // that states of this plan carry
    int32_t state_size = 0;
    int32_t chain_count = 0;
    FollowChain* chains = nullptr; // also those that are off
    // Joints above the chains, parents first, with the place of each one's parent in this list.
    int32_t bearer_count = 0;
    int32_t bearers[max_bearers];
    int32_t bearer_parent[max_bearers];
};

/// `take` reserves the memory of the plan, which may be part of a larger object.
aplomb_status make_follow(const Figure& figure, const FollowAsk& ask, const aplomb_allocator* allocator,
                          Follow* (*take)(Layout&), Follow** follow, aplomb_error* error);
void destroy_follow(Follow* follow);

} // namespace aplomb
