// SPDX-License-Identifier: MIT
// From the reduced model back to a pose: new local transforms of hips, lean joints, fixed limbs and arms.
// Every other joint keeps its keyed values bit for bit.
#pragma once

#include "model/model.h"

namespace aplomb {

/// The joints that a correction changed: whose rotation, and whose translation.
struct Changed {
    int count = 0;
    int32_t joint[max_links + 4 * max_limbs + max_apart];
    int moved_count = 0;
    int32_t moved[1 + max_apart];
};

/// Writes the joints that change, and no other; the keyed pose is the key's.
void write_pose(const Figure& figure, const Model& model, const ModelState& state, Vec3* translations,
                Quat* rotations, Changed& changed);

} // namespace aplomb
