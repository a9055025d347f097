// SPDX-License-Identifier: MIT
#include "figure/foot_shape.h"

#include <algorithm>

namespace aplomb {
namespace {

// Length of a paw's toes over that of both spans, where the joints do not tell (common practice).
constexpr double toe_part_of_limb = .12;
constexpr double nearly_reaches = .35; // of both spans' length, from the end joint to the ground

/// What the joints tell of a foot: offsets from the end joint in the neutral.
struct FootJoints {
    bool has_toe = false, has_tip = false;
    Vec3 toe, tip; // the ball joint, the end of the toes
};

/// The point below a joint, or its own tip, that is furthest from it; in rest axes, relative to the joint.
Vec3 furthest_below(const Draft& draft, int32_t joint) {
    const Figure& figure = draft.figure;
    Vec3 furthest;
    for (int32_t j = 0; j < figure.joint_count; ++j) {
        if (!is_within(figure, j, joint)) continue;
        const Vec3 tip = draft.has_tip[j] ? figure.joints[j].tip : Vec3{};
        const Vec3 point = to_world(draft.rest[j], tip) - draft.rest[joint].position;
        if (norm(point) > norm(furthest)) furthest = point;
    }
    return furthest;
}

FootJoints find_joints(const Draft& draft, const Limb& limb) {
    const Joint& end = draft.figure.joints[limb.end];
    const Placement& rest = draft.rest[limb.end];
    // All joints below the end joint move with it on the way to the neutral.
    const Quat turn = end.neutral * conjugate(rest.rotation);
    FootJoints found;
    Vec3 last;
    if (limb.toe >= 0) {
        const Vec3 toe = draft.rest[limb.toe].position - rest.position;
        found.has_toe = true;
        found.toe = rotate(turn, toe);
        found.has_tip = segment_end(draft, limb.toe, &last);
        found.tip = rotate(turn, toe + last);
    } else {
        last = furthest_below(draft, limb.end);
        found.has_tip = norm(last) > 0;
        found.tip = rotate(turn, last);
    }
    return found;
}

/// The lowest point of all legs in the rest pose, as far as the joints tell.
double rest_ground(const Draft& draft) {
    double lowest = 1e30;
    for (int32_t i = 0; i < draft.figure.limb_count; ++i) {
        const Limb& limb = draft.figure.limbs[i];
        if (limb.kind == APLOMB_ARM) continue;
        const double end = draft.rest[limb.end].position.y;
        lowest = std::min(lowest, std::min(end, end + furthest_below(draft, limb.end).y));
    }
    return lowest;
}

/// A patch under the toes, as large as they are; where that is not known, a part of the limb's length.
FootShape measure_paw(const Draft& draft, const Limb& limb, const FootJoints& joints) {
    const Vec3 base = joints.has_toe ? joints.toe : joints.has_tip ? joints.tip : Vec3{};
    const double reach = joints.has_toe && joints.has_tip ? joints.tip.z - joints.toe.z : 0;
    const double ahead = reach > .02 * limb.length ? reach : toe_part_of_limb * limb.length;
    FootShape paw;
    paw.is_paw = true;
    paw.origin = APLOMB_ORIGIN_FROM_MEMORY; // the pads' size over the toes'
    paw.length = 1.5 * ahead;
    paw.breadth = 0.8 * paw.length;
    // The toes' own joint is over the middle of their pads; a bare tip is their end.
    paw.heel = joints.has_toe || !joints.has_tip ? base.z - 0.5 * ahead : base.z - paw.length;
    paw.ball = paw.heel + 0.5 * ahead;
    paw.left = base.x;
    paw.ground = std::min(0.0, std::min(base.y, joints.has_tip ? joints.tip.y : 0.0));
    // Skeletons often end at the wrist: a leg that nearly reaches the ground in the rest pose stands on it.
    const double drop = draft.rest[limb.end].position.y - rest_ground(draft);
    if (drop < nearly_reaches * limb.length) paw.ground = std::min(paw.ground, -drop);
    return paw;
}

/// A lone tip is the toes' end or the ball of the foot (some files end there): whichever makes the likelier
/// foot.
double length_to_tip(double tip, double stature) {
    const double usual = foot_stature_part * stature;
    const double as_end = tip / (1 - ankle_part), as_ball = tip / (ball_part - ankle_part);
    return std::fabs(as_end - usual) <= std::fabs(as_ball - usual) ? as_end : as_ball;
}

/// From the ball joint by its usual place in the foot, corrected by the tip where one is known; else from the tip alone;
/// else from the stature.
FootShape measure_human_foot(const FootJoints& joints, double stature) {
    FootShape foot;
    foot.origin = APLOMB_ORIGIN_FROM_MEMORY; // the place of the ankle is the weakest of its numbers
    if (joints.has_toe) {
        foot.length = joints.toe.z / (ball_part - ankle_part);
        const double tip = joints.has_tip ? joints.tip.z / foot.length : 0;
        const double heel = ankle_part * foot.length;
        if (tip > .6 && tip < .9) foot.length = joints.tip.z + heel;
        foot.heel = -heel;
        foot.ball = joints.toe.z;
        foot.left = joints.toe.x;
    } else {
        foot.length = joints.has_tip ? length_to_tip(joints.tip.z, stature) : foot_stature_part * stature;
        foot.heel = -ankle_part * foot.length;
        foot.ball = foot.heel + ball_part * foot.length;
        foot.left = joints.has_tip ? joints.tip.x : 0;
    }
    foot.breadth = ball_breadth_part * foot.length;
    foot.ground = -ankle_height_part * foot.length;
    // Toes do not reach through the floor.
    if (joints.has_toe) foot.ground = std::min(foot.ground, joints.toe.y);
    if (joints.has_tip) foot.ground = std::min(foot.ground, joints.tip.y);
    return foot;
}

} // namespace

bool segment_end(const Draft& draft, int32_t joint, Vec3* end) {
    const Figure& figure = draft.figure;
    if (draft.has_tip[joint]) {
        *end = rotate(draft.rest[joint].rotation, figure.joints[joint].tip);
        return norm(*end) > 0;
    }
    Vec3 sum;
    int count = 0;
    for (int32_t j = 0; j < figure.joint_count; ++j) {
        if (figure.joints[j].carrier != joint) continue;
        sum += draft.rest[j].position - draft.rest[joint].position;
        ++count;
    }
    if (count == 0) return false;
    *end = sum / count;
    return norm(*end) > 0;
}

FootShape measure_foot(const Draft& draft, const Limb& limb, double stature) {
    const FootJoints joints = find_joints(draft, limb);
    const Vec3& along = joints.has_toe ? joints.toe : joints.tip;
    // A foot that goes further down than forward stands on its toes: paws, hooves, birds.
    const bool told = joints.has_toe || joints.has_tip;
    const bool stands_on_toes = told && -along.y > along.z;
    if (limb.kind == APLOMB_FORE_LEG || stands_on_toes || (!told && is_quadruped(draft.figure)))
        return measure_paw(draft, limb, joints);
    return measure_human_foot(joints, stature);
}

bool is_quadruped(const Figure& figure) {
    for (int32_t i = 0; i < figure.limb_count; ++i) {
        if (figure.limbs[i].kind == APLOMB_FORE_LEG) return true;
    }
    return false;
}

} // namespace aplomb
