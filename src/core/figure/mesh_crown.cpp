// SPDX-License-Identifier: MIT
#include "figure/mesh_crown.h"

#include <algorithm>

#include "figure/description.h"
#include "figure/frame.h"

namespace aplomb {
namespace {

bool is_of_trunk(aplomb_role role) {
    return role == APLOMB_ROLE_HIPS || role == APLOMB_ROLE_SPINE || role == APLOMB_ROLE_NECK;
}

/// The joint that moves the vertex most, or -1.
int32_t owner_of(const aplomb_skin& skin, int32_t vertex) {
    const size_t first = 4 * static_cast<size_t>(vertex);
    const double* weights = skin.weights + first;
    return skin.joints[first + static_cast<size_t>(std::max_element(weights, weights + 4) - weights)];
}

} // namespace

bool find_mesh_crown(const Draft& draft, double* crown) {
    if (!draft.desc.skin) return false;
    const aplomb_skin& skin = *draft.desc.skin;
    const Figure& figure = draft.figure;
    bool counts[max_joints];
    for (int32_t j = 0; j < figure.joint_count; ++j)
        counts[j] = figure.head >= 0 ? is_within(figure, j, figure.head) : is_of_trunk(figure.joints[j].role);
    bool found = false;
    for (int32_t v = 0; v < skin.vertex_count; ++v) {
        const int32_t joint = owner_of(skin, v);
        if (joint < 0 || !counts[joint]) continue;
        const double* p = skin.positions + 3 * static_cast<size_t>(v);
        const Vec3 own = to_local(draft.rest[joint], length_in(figure.frame, {p[0], p[1], p[2]}));
        const double height = to_world(neutral_placement(figure.joints[joint]), own).y;
        *crown = found ? std::max(*crown, height) : height;
        found = true;
    }
    return found;
}

} // namespace aplomb
