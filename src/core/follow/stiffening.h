// SPDX-License-Identifier: MIT
// How a chain stiffens while what carries it turns or is pulled along it: a bent tail is drawn straight.
#pragma once

#include "follow/modes.h"

namespace aplomb {

/// What a rate w of turning and an acceleration a of the first joint's swing point add to the stiffness of a mode, whose mass
/// is 1: w^T turning w + acceleration . a; axes of the world in the rest pose.
struct Stiffening {
    Mat3 turning = {};
    Vec3 acceleration;
};

/// It takes the chain as moving as one with its first joint. `swing_point` is that one's, in the world; `w` and the chain's
/// joints and shape are filled.
Stiffening stiffening_of(const ModeScratch& w, const FollowChain& chain, int32_t mode,
                         const Vec3& swing_point);

} // namespace aplomb
