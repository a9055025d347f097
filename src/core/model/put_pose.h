// SPDX-License-Identifier: MIT
// A corrected pose in the host's own numbers, units and axes.
#pragma once

#include <cstddef>
#include <cstring>

#include "figure/frame.h"
#include "model/write.h"

namespace aplomb {

/// Only joints that changed are written anew; the keyed numbers of all others are copied. `changed` NULL: none did.
template<class T>
void put_pose(const Figure& figure, const Changed* changed, const Vec3* new_translations,
              const Quat* new_rotations, const T* keyed_translations, const T* keyed_rotations,
              T* translations, T* rotations) {
    const size_t joints = static_cast<size_t>(figure.joint_count);
    std::memmove(translations, keyed_translations, 3 * joints * sizeof(T));
    std::memmove(rotations, keyed_rotations, 4 * joints * sizeof(T));
    if (!changed) return;
    for (int k = 0; k < changed->moved_count; ++k) {
        const int joint = changed->moved[k];
        const Vec3 moved = length_out(figure.frame, new_translations[joint]);
        T* place = translations + 3 * joint;
        place[0] = static_cast<T>(moved.x), place[1] = static_cast<T>(moved.y),
        place[2] = static_cast<T>(moved.z);
    }
    for (int k = 0; k < changed->count; ++k) {
        const int joint = changed->joint[k];
        const Quat q = rotation_out(figure.frame, new_rotations[joint]);
        T* out = rotations + 4 * joint;
        out[0] = static_cast<T>(q.x), out[1] = static_cast<T>(q.y), out[2] = static_cast<T>(q.z),
        out[3] = static_cast<T>(q.w);
    }
}

} // namespace aplomb
