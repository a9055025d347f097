// SPDX-License-Identifier: MIT
#include "step/memory.h"

#include "base/hash.h"

namespace aplomb {

uint32_t check_of(const Figure& figure) {
    Hash<uint32_t> hash;
    hash.take_whole(figure.joint_count);
    for (int j = 0; j < figure.joint_count; ++j) {
        const Joint& joint = figure.joints[j];
        const Vec3& at = joint.rest_translation;
        hash.take_whole(joint.parent);
        hash.take(at.x), hash.take(at.y), hash.take(at.z), hash.take(joint.mass);
    }
    const Quat& turn = figure.frame.to_anatomical;
    hash.take(figure.frame.metres_per_unit);
    hash.take(turn.x), hash.take(turn.y), hash.take(turn.z), hash.take(turn.w);
    return hash.sum();
}

} // namespace aplomb
