// SPDX-License-Identifier: MIT
// The figure's masses in one pose: where every joint and every segment's centre is, and their first moments.
#pragma once

#include "figure/figure.h"

namespace aplomb {

/// What does not change from pose to pose; filled once per solver.
struct BodyPlan {
    uint8_t* trunk = nullptr; // per joint: a segment of spine, neck or head
    // Joints that every pose needs, parents first: all that carry mass, limbs, soles, hips, lean joints, head,
    // and what they hang on. Fingers and the like are placed when a load or a pull asks for them.
    int32_t* needed = nullptr;
    uint8_t* is_needed = nullptr;
    int needed_count = 0;
    double upper_mass = 0; // all that rides on the lowest spine joint, arms and head included
    double trunk_mass = 0;
    double neck_mass = 0; // of neck and head, and what rides on them
    Vec3 neutral_trunk;   // trunk centre from the hips in the neutral
};

/// The plan's arrays have room for one entry per joint.
void make_body_plan(const Figure& figure, BodyPlan& plan);

/// One pose, measured.
struct Body {
    Placement* world = nullptr; // per joint that is needed
    Vec3* centre = nullptr;     // per joint with mass: its segment's centre, world
    Vec3 first_moment;          // sum of mass times centre
    Vec3 trunk_centre;          // of the trunk's segments; the hips where there are none
    Quat hips_from_neutral;     // the hips' turn in the world
};

/// True where the joint is `ancestor` or moves with it.
bool rides_on(const Figure& figure, int joint, int ancestor);

/// Fills a body whose arrays have room for one entry per joint.
void measure_body(const Figure& figure, const BodyPlan& plan, const PoseView& pose, Body& body);
/// Places one more joint, after measure_body.
void place_further(const Figure& figure, const BodyPlan& plan, const PoseView& pose, int joint, Body& body);

} // namespace aplomb
