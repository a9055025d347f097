// SPDX-License-Identifier: MIT
#include "figure/mesh_crown.h"

#include <algorithm>

#include "figure/skin_owner.h"

namespace aplomb {
namespace {

bool is_of_trunk(aplomb_role role) {
    return role == APLOMB_ROLE_HIPS || role == APLOMB_ROLE_SPINE || role == APLOMB_ROLE_NECK;
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
        const double height = neutral_place(draft, v, joint).y;
        *crown = found ? std::max(*crown, height) : height;
        found = true;
    }
    return found;
}

} // namespace aplomb
