// SPDX-License-Identifier: MIT
#include "support/body.h"

namespace aplomb {
namespace {

/// True where the joint is `ancestor` or below it.
bool rides_on(const Figure& figure, int joint, int ancestor) {
    while (joint > ancestor)
        joint = figure.joints[joint].parent;
    return joint == ancestor;
}

bool is_trunk_role(aplomb_role role) {
    return role == APLOMB_ROLE_SPINE || role == APLOMB_ROLE_NECK || role == APLOMB_ROLE_HEAD;
}

} // namespace

BodyPlan make_body_plan(const Figure& figure, uint8_t* trunk) {
    BodyPlan plan;
    plan.trunk = trunk;
    const int first_spine = figure.spine_count > 0 ? figure.spine[0].joint : -1;
    Vec3 moment;
    for (int j = 0; j < figure.joint_count; ++j) {
        const Joint& joint = figure.joints[j];
        if (first_spine >= 0 && rides_on(figure, j, first_spine)) plan.upper_mass += joint.mass;
        // A helper belongs to the trunk where it rides on it.
        const bool helper = joint.role == APLOMB_ROLE_HELPER && joint.parent >= 0 && trunk[joint.parent];
        trunk[j] = is_trunk_role(joint.role) || helper;
        if (!trunk[j]) continue;
        plan.trunk_mass += joint.mass;
        moment += (joint.neutral_position + rotate(joint.neutral, joint.centre)) * joint.mass;
    }
    if (plan.trunk_mass > 0)
        plan.neutral_trunk = moment / plan.trunk_mass - figure.joints[figure.hips].neutral_position;
    return plan;
}

void measure_body(const Figure& figure, const BodyPlan& plan, const PoseView& pose, Body& body) {
    place_joints(figure, pose, body.world);
    Vec3 all, trunk;
    for (int j = 0; j < figure.joint_count; ++j) {
        const Joint& joint = figure.joints[j];
        if (joint.mass == 0) continue;
        body.centre[j] = to_world(body.world[j], joint.centre);
        const Vec3 moment = body.centre[j] * joint.mass;
        all += moment;
        if (plan.trunk[j]) trunk += moment;
    }
    const Placement& hips = body.world[figure.hips];
    body.first_moment = all;
    body.trunk_centre = plan.trunk_mass > 0 ? trunk / plan.trunk_mass : hips.position;
    body.hips_from_neutral = hips.rotation * conjugate(figure.joints[figure.hips].neutral);
}

} // namespace aplomb
