// SPDX-License-Identifier: MIT
#include "moment/body.h"

#include <algorithm>

namespace aplomb {
namespace {

bool is_trunk_role(aplomb_role role) {
    return role == APLOMB_ROLE_SPINE || role == APLOMB_ROLE_NECK || role == APLOMB_ROLE_HEAD;
}

void need(const Figure& figure, uint8_t* is_needed, int joint) {
    for (; joint >= 0 && !is_needed[joint]; joint = figure.joints[joint].parent)
        is_needed[joint] = 1;
}

void find_needed(const Figure& figure, BodyPlan& plan) {
    std::fill(plan.is_needed, plan.is_needed + figure.joint_count, uint8_t{0});
    for (int j = 0; j < figure.joint_count; ++j) {
        const Joint& joint = figure.joints[j];
        if (joint.mass > 0 || joint.carrier != joint.parent) need(figure, plan.is_needed, j);
    }
    for (const int joint : {figure.hips, figure.chest, figure.head})
        need(figure, plan.is_needed, joint);
    for (int i = 0; i < figure.spine_count; ++i)
        need(figure, plan.is_needed, figure.spine[i].joint);
    for (int i = 0; i < figure.neck_count; ++i)
        need(figure, plan.is_needed, figure.neck[i].joint);
    for (int i = 0; i < figure.limb_count; ++i) {
        const Limb& limb = figure.limbs[i];
        for (const int joint : {limb.upper, limb.lower, limb.end, limb.toe})
            need(figure, plan.is_needed, joint);
        for (int k = 0; k < limb.sole.point_count; ++k)
            need(figure, plan.is_needed, limb.sole.points[k].joint);
    }
    plan.needed_count = 0;
    for (int j = 0; j < figure.joint_count; ++j) {
        if (plan.is_needed[j]) plan.needed[plan.needed_count++] = j;
    }
}

} // namespace

bool rides_on(const Figure& figure, int joint, int ancestor) {
    while (joint >= 0 && joint != ancestor)
        joint = figure.joints[joint].carrier;
    return joint == ancestor;
}

void make_body_plan(const Figure& figure, BodyPlan& plan) {
    find_needed(figure, plan);
    const int neck = figure.neck_count > 0 ? figure.neck[0].joint : figure.head;
    const int first_spine = figure.spine_count > 0 ? figure.spine[0].joint : -1;
    Vec3 moment;
    for (int k = 0; k < figure.joint_count; ++k) {
        const int j = figure.order[k];
        const Joint& joint = figure.joints[j];
        if (first_spine >= 0 && rides_on(figure, j, first_spine)) plan.upper_mass += joint.mass;
        if (neck >= 0 && rides_on(figure, j, neck)) plan.neck_mass += joint.mass;
        // A helper belongs to the trunk where it rides on it.
        const bool helper =
            joint.role == APLOMB_ROLE_HELPER && joint.carrier >= 0 && plan.trunk[joint.carrier];
        plan.trunk[j] = is_trunk_role(joint.role) || helper;
        if (!plan.trunk[j]) continue;
        plan.trunk_mass += joint.mass;
        moment += (joint.neutral_position + rotate(joint.neutral, joint.centre)) * joint.mass;
    }
    if (plan.trunk_mass > 0)
        plan.neutral_trunk = moment / plan.trunk_mass - figure.joints[figure.hips].neutral_position;
}

void measure_body(const Figure& figure, const BodyPlan& plan, const PoseView& pose, Body& body) {
    Vec3 all, trunk;
    for (int i = 0; i < plan.needed_count; ++i) {
        const int j = plan.needed[i];
        const Joint& joint = figure.joints[j];
        place_joint(figure, pose, j, body.world);
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

void place_further(const Figure& figure, const BodyPlan& plan, const PoseView& pose, int joint, Body& body) {
    if (plan.is_needed[joint]) return;
    place_further(figure, plan, pose, figure.joints[joint].parent, body);
    place_joint(figure, pose, joint, body.world);
}

} // namespace aplomb
