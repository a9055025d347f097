// SPDX-License-Identifier: MIT
// Legs and arms by shape alone, for skeletons whose names say nothing: branches that mirror each other, the
// lower and rear pair that reaches the ground for legs, others for arms.
#pragma once

#include "figure/survey.h"

namespace aplomb {

struct Pair {
    int32_t left = -1, right = -1;
};

/// The mirrored branches that reach the ground, the rear ones first. Returns their number.
int find_standing_pairs(const Draft& draft, const Survey& survey, Pair* pairs, int room);

/// The pairs that reach furthest, except those at or above `hips` and those in its legs. Returns their number.
int find_arm_pairs(const Draft& draft, const Survey& survey, int32_t hips, const Pair& legs, Pair* pairs,
                   int room);

/// The joints that a limb needs, by its shape; -1 for what is not there.
struct Spans {
    int32_t girdle = -1, upper = -1, lower = -1, end = -1, toe = -1;
};
Spans find_leg_spans(const Survey& survey, int32_t start);
Spans find_arm_spans(const Survey& survey, int32_t start);
/// The joint between the two that is nearest to the middle of the path, or -1.
int32_t find_middle_joint(const Survey& survey, int32_t upper, int32_t end);

} // namespace aplomb
