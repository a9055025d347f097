// SPDX-License-Identifier: MIT
// The lines that an animator draws through a pose: the trunk's lean and the line of action.
#pragma once

#include "reading/shares.h"

namespace aplomb {

/// From upright, against gravity, as the hips' heading has it.
struct Lean {
    double fore = 0, side = 0; // forward and right positive
};
Lean lean_of(const BodyPlan& plan, const Figure& figure, const Key& s);

inline constexpr int line_points = 5; // bearing ankle, hips, middle of the spine, chest, head
/// With several bearing legs the ankle is their mean, weighted with the shares.
void line_of_action(const Figure& figure, const Key& s, const Share* shares, Vec3* line);

} // namespace aplomb
