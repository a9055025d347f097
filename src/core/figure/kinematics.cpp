// SPDX-License-Identifier: MIT
#include "figure/figure.h"

namespace aplomb {

void place_joint(const Figure& figure, const PoseView& pose, int joint, Placement* world) {
    const int32_t parent = figure.joints[joint].parent;
    if (parent < 0) {
        world[joint] = {pose.translations[joint], pose.rotations[joint]};
        return;
    }
    world[joint].position = to_world(world[parent], pose.translations[joint]);
    world[joint].rotation = world[parent].rotation * pose.rotations[joint];
}

void place_joints(const Figure& figure, const PoseView& pose, Placement* world) {
    for (int32_t j = 0; j < figure.joint_count; ++j)
        place_joint(figure, pose, j, world);
}

} // namespace aplomb
