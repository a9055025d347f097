// SPDX-License-Identifier: MIT
#include "figure/figure.h"

namespace aplomb {

void place_joints(const Figure& figure, const PoseView& pose, Placement* world) {
    for (int32_t j = 0; j < figure.joint_count; ++j) {
        const int32_t parent = figure.joints[j].parent;
        if (parent < 0) {
            world[j] = {pose.translations[j], pose.rotations[j]};
            continue;
        }
        world[j].position = to_world(world[parent], pose.translations[j]);
        world[j].rotation = world[parent].rotation * pose.rotations[j];
    }
}

} // namespace aplomb
