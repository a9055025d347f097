// SPDX-License-Identifier: MIT
#include "capi/names.h"

#include <cstdio>

namespace aplomb {
namespace {

const char* joint_word(aplomb_limb_kind kind, int place) { // start, middle, end
    static constexpr const char* words[3][3] = {
        {"hip", "knee", "ankle"}, {"shoulder", "elbow", "wrist"}, {"shoulder", "elbow", "fore foot"}};
    return words[kind][place];
}

const char* axis_word(int axis) {
    static constexpr const char* words[3] = {"bend", "twist", "lean"};
    return words[axis];
}

} // namespace

const char* end_word(aplomb_limb_kind kind) {
    return kind == APLOMB_ARM ? "hand" : kind == APLOMB_FORE_LEG ? "fore foot" : "foot";
}

void name_hold_back(const Figure& figure, const Correction::HeldBy& held, char* text, size_t size) {
    if (held.hips) {
        snprintf(text, size, "largest %s of the hips", axis_word(held.axis));
        return;
    }
    if (held.lean >= 0) {
        const Joint& joint = figure.joints[held.lean];
        const char* name = joint.name[0] ? joint.name : aplomb_role_text(joint.role);
        snprintf(text, size, "%.40s, limit of its %s", name, axis_word(held.axis));
        return;
    }
    if (held.limb < 0) {
        snprintf(text, size, "%s",
                 held.row.kind == RowKind::chest ? "largest turn of the trunk" : "largest shift of the hips");
        return;
    }
    const Limb& limb = figure.limbs[held.limb];
    const char* side = aplomb_side_text(limb.side);
    switch (held.row.kind) {
    case RowKind::reach:
        snprintf(text, size, "%s %s, straight", side, joint_word(limb.kind, 1));
        break;
    case RowKind::fold:
        snprintf(text, size, "%s %s, fully bent", side, joint_word(limb.kind, 1));
        break;
    case RowKind::start_limit:
        snprintf(text, size, "%s %s, limit of its %s", side, joint_word(limb.kind, 0), axis_word(held.axis));
        break;
    default:
        snprintf(text, size, "%s %s, limit of its %s", side, joint_word(limb.kind, 2), axis_word(held.axis));
        break;
    }
}

} // namespace aplomb
