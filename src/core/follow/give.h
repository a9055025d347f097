// SPDX-License-Identifier: MIT
// A pose that gives: the hips sink and what stands or is held stays where it is; what both hands carry sinks further.
// No variable is solved for: limbs follow in closed form, as in a correction.
#pragma once

#include "model/write.h"

namespace aplomb {

/// Metres along the ground's normal, downwards; below zero the body rises, no further than its limbs reach.
struct Sinking {
    double hips = 0;
    double arms = 0; // how far what both hands carry sinks, beyond the hips
};

/// How far down the hips come to rest under the loads of a key: a correction lets the knees give by what the keyed pose lacks,
/// and the hips sink as far.
double resting_give(const Figure& figure, const BodyPlan& plan, const Key& key,
                    const aplomb_options& options);

/// Working memory of give_pose: `group` has a number per joint, `state` belongs to `reduction`.
struct GiveRoom {
    int32_t* group;
    Reduction& reduction;
    ModelState& state;
};

/// Writes the joints that change, and no other.
void give_pose(const Figure& figure, const BodyPlan& plan, const Key& key, const aplomb_options& options,
               const Sinking& sinking, const GiveRoom& room, Vec3* translations, Quat* rotations,
               Changed& changed);

} // namespace aplomb
