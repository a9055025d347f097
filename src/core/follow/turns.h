// SPDX-License-Identifier: MIT
// How far a chain's modes turn its joints.
#pragma once

#include "follow/plan.h"

namespace aplomb {

/// Rotation vectors of two joints, each in its own frame.
inline Vec3Pair turns_of(const FollowChain& chain, const double* modes, const JointPair& joints) {
    Pair one[2] = {}, other[2] = {};
    for (int32_t m = 0; m < chain.shape_width(); m += 2) {
        const Pair mode = pair_at(modes + m);
        for (int i = 0; i < 2; ++i) {
            one[i] += pair_at(joints.shape[i] + m) * mode;
            other[i] += pair_at(joints.last_shape[i] + m) * mode;
        }
    }
    const auto sums = [](const Pair(&of)[2]) { return Pair{of[0][0], of[1][0]} + Pair{of[0][1], of[1][1]}; };
    return joints.axis[0] * sums(one) + joints.axis[1] * sums(other);
}

} // namespace aplomb
