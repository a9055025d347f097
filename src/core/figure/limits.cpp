// SPDX-License-Identifier: MIT
// Joint limits by role. Limbs: American Academy of Orthopaedic Surgeons, Joint Motion, 1965 (hip extension 20
// rather than 30, which counts the pelvis and the lumbar spine in). Neck and trunk: 38 CFR 4.71a, note 2.
// The toes, the ankle's turn and all of a four-footed figure are common practice, not checked against a
// source.
//
// Signs are turns about left, up and forward of the neutral. A limb hangs, so raising it forward is a
// negative turn about left, and taking a left one outwards a positive turn about forward.
#include <algorithm>
#include <cmath>
#include <limits>

#include "base/error.h"
#include "figure/foot_shape.h"
#include "figure/steps.h"

namespace aplomb {
namespace {

constexpr double free_turn = std::numeric_limits<double>::infinity();

/// A range in degrees for the left side; the right one is its mirror image.
struct Range {
    Vec3 lowest, highest;
    aplomb_origin origin = APLOMB_ORIGIN_PUBLISHED;
};

constexpr Range free_range{
    {-free_turn, -free_turn, -free_turn}, {free_turn, free_turn, free_turn}, APLOMB_ORIGIN_FROM_MEMORY};

// flexion 120, extension 20; internal and external rotation 45; abduction 45, adduction 30
constexpr Range thigh_range{{-120, -45, -30}, {20, 45, 45}};
// A hinge: apart from its bend no range is published.
constexpr Range shank_range{{0, -free_turn, -free_turn}, {135, free_turn, free_turn}};
// dorsiflexion 20, plantar flexion 50; inversion 35, eversion 15; the turn is from memory, and so the row is marked
constexpr Range foot_range{{-20, -30, -35}, {50, 30, 15}, APLOMB_ORIGIN_FROM_MEMORY};
constexpr Range toe_range{
    {-70, -free_turn, -free_turn}, {45, free_turn, free_turn}, APLOMB_ORIGIN_FROM_MEMORY};
// flexion 180, extension 60; internal rotation 70, external 90; abduction 180, adduction 50
constexpr Range upper_arm_range{{-180, -70, -50}, {60, 90, 180}};
// flexion 150; pronation and supination 80
constexpr Range lower_arm_range{{-150, -80, -free_turn}, {0, 80, free_turn}};
// Palms towards the body: radial 20 forward, ulnar 30 back; flexion 80 inwards, extension 70 outwards
constexpr Range hand_range{{-20, -80, -80}, {30, 80, 70}};
// flexion 90, extension 30; rotation 30; lateral 30
constexpr Range trunk_range{{-30, -30, -30}, {90, 30, 30}};
// flexion and extension 45; rotation 80; lateral 45
constexpr Range neck_range{{-45, -80, -45}, {45, 80, 45}};

// Four-footed figures: wide, from memory.
constexpr Range beast_upper_range{{-100, -45, -45}, {100, 45, 45}, APLOMB_ORIGIN_FROM_MEMORY};
constexpr Range beast_middle_range{
    {-150, -free_turn, -free_turn}, {150, free_turn, free_turn}, APLOMB_ORIGIN_FROM_MEMORY};
constexpr Range beast_end_range{{-120, -60, -60}, {120, 60, 60}, APLOMB_ORIGIN_FROM_MEMORY};
constexpr Range beast_trunk_range{{-60, -45, -60}, {60, 45, 60}, APLOMB_ORIGIN_FROM_MEMORY};
constexpr Range beast_neck_range{{-90, -80, -90}, {90, 80, 90}, APLOMB_ORIGIN_FROM_MEMORY};

constexpr double least_bend = 1; // degrees: a limb is solved by its bend, so it is never straighter

/// Turns about up and forward change their sign between left and right, bends do not.
Range mirrored(const Range& r) {
    return {{r.lowest.x, -r.highest.y, -r.highest.z}, {r.highest.x, -r.lowest.y, -r.lowest.z}, r.origin};
}

const Range& human_range(aplomb_role role) {
    switch (role) {
    case APLOMB_ROLE_THIGH:
        return thigh_range;
    case APLOMB_ROLE_SHANK:
        return shank_range;
    case APLOMB_ROLE_FOOT:
        return foot_range;
    case APLOMB_ROLE_TOE:
        return toe_range;
    case APLOMB_ROLE_UPPER_ARM:
        return upper_arm_range;
    case APLOMB_ROLE_LOWER_ARM:
        return lower_arm_range;
    case APLOMB_ROLE_HAND:
        return hand_range;
    default:
        return free_range;
    }
}

const Range& beast_range(aplomb_role role) {
    switch (role) {
    case APLOMB_ROLE_THIGH:
    case APLOMB_ROLE_UPPER_ARM:
        return beast_upper_range;
    case APLOMB_ROLE_SHANK:
    case APLOMB_ROLE_LOWER_ARM:
        return beast_middle_range;
    case APLOMB_ROLE_FOOT:
    case APLOMB_ROLE_HAND:
        return beast_end_range;
    default:
        return free_range;
    }
}

const Range& range_of(bool beast, aplomb_role role) {
    return beast ? beast_range(role) : human_range(role);
}

void set_range(Joint& joint, const Range& range) {
    joint.limits = {range.lowest * degree, range.highest * degree};
    joint.limit_origin = range.origin;
}

/// The whole range divided in proportion to the shares, axis by axis.
void divide(Figure& figure, const LeanJoint* joints, int32_t count, const Range& range) {
    Vec3 sum;
    for (int32_t i = 0; i < count; ++i)
        sum += joints[i].share;
    for (int32_t i = 0; i < count; ++i) {
        Range part = range;
        for (int axis = 0; axis < 3; ++axis) {
            part.lowest[axis] *= joints[i].share[axis] / sum[axis];
            part.highest[axis] *= joints[i].share[axis] / sum[axis];
        }
        set_range(figure.joints[joints[i].joint], part);
    }
}

void set_by_role(Figure& figure) {
    const bool beast = is_quadruped(figure);
    for (int32_t j = 0; j < figure.joint_count; ++j) {
        Joint& joint = figure.joints[j];
        const Range& range = range_of(beast, joint.role);
        set_range(joint, joint.side == APLOMB_SIDE_RIGHT ? mirrored(range) : range);
    }
    divide(figure, figure.spine, figure.spine_count, beast ? beast_trunk_range : trunk_range);
    divide(figure, figure.neck, figure.neck_count, beast ? beast_neck_range : neck_range);
}

/// What the description gives overrides the published range, number by number.
void set_given(const Draft& draft) {
    for (int32_t j = 0; draft.desc.limits && j < draft.figure.joint_count; ++j) {
        const double* given = draft.desc.limits + 6 * static_cast<size_t>(j);
        Joint& joint = draft.figure.joints[j];
        for (int k = 0; k < 6; ++k) {
            if (std::isnan(given[k])) continue;
            (k % 2 == 0 ? joint.limits.lowest : joint.limits.highest)[k / 2] = given[k];
            joint.limit_origin = APLOMB_ORIGIN_GIVEN;
        }
    }
}

/// One end given, the other published: together they may contradict each other.
aplomb_status check_order(const Figure& figure, aplomb_error* error) {
    for (int32_t j = 0; j < figure.joint_count; ++j) {
        const Limits& limits = figure.joints[j].limits;
        for (int axis = 0; axis < 3; ++axis) {
            if (limits.lowest[axis] <= limits.highest[axis]) continue;
            return fail(
                error, APLOMB_BAD_FIGURE, "limits", j,
                "limits of joint %d (%.64s): with the published range for the other end, the lowest, %g, is "
                "above the highest, %g.",
                j, figure.joints[j].name, limits.lowest[axis], limits.highest[axis]);
        }
    }
    return APLOMB_OK;
}

bool bend_is_given(const Draft& draft, int32_t joint) {
    const double* given = draft.desc.limits ? draft.desc.limits + 6 * static_cast<size_t>(joint) : nullptr;
    return given && (!std::isnan(given[0]) || !std::isnan(given[1]));
}

/// How far middle joints bend, from the published range or from the limits given for the joint.
void set_bends(Draft& draft) {
    const bool beast = is_quadruped(draft.figure);
    for (int32_t i = 0; i < draft.figure.limb_count; ++i) {
        Limb& limb = draft.figure.limbs[i];
        const Range& range = range_of(beast, draft.figure.joints[limb.lower].role);
        limb.least_bend = least_bend * degree;
        limb.most_bend = std::max(-range.lowest.x, range.highest.x) * degree; // a hinge bends one way
        if (!bend_is_given(draft, limb.lower)) continue;
        // A hinge that points right bends by negative turns about left.
        const Limits& limits = draft.figure.joints[limb.lower].limits;
        const bool along = limb.hinge.x >= 0;
        limb.least_bend = std::max(limb.least_bend, along ? limits.lowest.x : -limits.highest.x);
        limb.most_bend = std::max(
            limb.least_bend, std::min(pi - limb.least_bend, along ? limits.highest.x : -limits.lowest.x));
    }
}

void remark_on_origin(Draft& draft) {
    if (is_quadruped(draft.figure))
        draft.remark("The joint limits of a four-footed figure are common practice.");
    else
        draft.remark("The limits of the toes and of the ankle's turn are common practice.");
}

} // namespace

aplomb_status set_limits(Draft& draft, aplomb_error* error) {
    set_by_role(draft.figure);
    set_given(draft);
    if (const auto s = check_order(draft.figure, error)) return s;
    set_bends(draft);
    remark_on_origin(draft);
    return APLOMB_OK;
}

} // namespace aplomb
