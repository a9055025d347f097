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

enum Part { pelvis, trunk, limb_joint };

/// The word before "as far as it goes".
const char* axis_word(Part part, int axis) { // about left, up, forward
    static constexpr const char* words[3][3] = {{"tilted", "turned", "tilted sideways"},
                                                {"bent", "twisted", "bent sideways"},
                                                {"bent", "turned", "tilted"}};
    return words[part][axis];
}

} // namespace

const char* end_word(aplomb_limb_kind kind) {
    return kind == APLOMB_ARM ? "hand" : kind == APLOMB_FORE_LEG ? "fore foot" : "foot";
}

void name_hold_back(const Figure& figure, const Correction::HoldBack& by, char* text, size_t size) {
    if (by.hips) {
        snprintf(text, size, "the pelvis, %s as far as it may", axis_word(pelvis, by.axis));
        return;
    }
    if (by.pull) {
        snprintf(text, size, "the load, drawn in as far as it may");
        return;
    }
    if (by.lean >= 0) {
        const Joint& joint = figure.joints[by.lean];
        if (joint.name[0])
            snprintf(text, size, "the spine at %.28s, %s as far as it goes", joint.name,
                     axis_word(trunk, by.axis));
        else
            snprintf(text, size, "the spine, %s as far as it goes", axis_word(trunk, by.axis));
        return;
    }
    if (by.limb < 0) {
        snprintf(text, size, "%s",
                 by.row.kind == RowKind::chest ? "the trunk, turned as far as it may"
                                               : "the hips, shifted as far as they may");
        return;
    }
    const Limb& limb = figure.limbs[by.limb];
    const char* side = aplomb_side_text(limb.side);
    switch (by.row.kind) {
    case RowKind::reach:
        snprintf(text, size, "the %s %s, straight", side, joint_word(limb.kind, 1));
        break;
    case RowKind::fold:
        snprintf(text, size, "the %s %s, fully bent", side, joint_word(limb.kind, 1));
        break;
    case RowKind::start_limit:
        snprintf(text, size, "the %s %s, %s as far as it goes", side, joint_word(limb.kind, 0),
                 axis_word(limb_joint, by.axis));
        break;
    default:
        snprintf(text, size, "the %s %s, %s as far as it goes", side, joint_word(limb.kind, 2),
                 axis_word(limb_joint, by.axis));
        break;
    }
}

} // namespace aplomb
