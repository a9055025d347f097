// SPDX-License-Identifier: MIT
// Where moving one foot would change the body least, by the corrections that follow. Nothing is applied.
//
// Candidates keep the hips over their place (if they followed, the relief would be gone); they sink only as far as the
// moved leg needs to reach. Each is corrected and scored by
//     J = f + 1/2 (|s| / .06 L)^2 + 4 where it is not in balance + what the step costs (foot.cpp)
// with f the correction's cost, s its hip shift and L the leg's length. Constants: common practice, or by eye.
#pragma once

#include "balance/balance.h"

namespace aplomb {

/// In metres, radians and ground axes.
struct FootSuggestion {
    bool found = false;
    int limb = -1;
    Vec2 way;                // of the foot, along the ground
    double out = 0;          // part of the way that leads away from the other foot, as the hips face
    double drop = 0;         // how far the keyed hips sink for the leg to reach
    double lean[2] = {0, 0}; // of the chest by the correction: as keyed, with the foot there
    double hips[2] = {0, 0}; // the hips' shift by the correction
    int outline_count = 0;
    Vec2 outline[APLOMB_MAX_EDGES]; // of the sole there
};

/// `key` points into `room`. With a foot found, both hold the keyed pose with it moved; `changed` tells which
/// of its joints are written anew. Otherwise they are as they came.
void suggest_foot(const Figure& figure, const BodyPlan& plan, const PoseRoom& room, Key& key,
                  const aplomb_options& options, Workbench& bench, FootSuggestion& suggestion,
                  Changed& changed);

} // namespace aplomb
