// SPDX-License-Identifier: MIT
// Soles from the measures in foot_shape.h, or from the description's patches, which beat the skin's. Hand length .108 of the stature
// (Drillis and Contini 1966); the third knuckle, where a hand grips, at .45 of it (J. Biomech. 29(9), de Leva
// 1996: 86.2 of 187.9 mm).
#include <algorithm>
#include <cmath>

#include "base/error.h"
#include "figure/foot_shape.h"
#include "figure/frame.h"
#include "figure/stature.h"
#include "figure/steps.h"

namespace aplomb {
namespace {

constexpr double hand_stature_part = .108, knuckle_part = .45;

constexpr double least_foot = .01; // of the limb's length

/// A corner of a foot's outline: across in halves of its breadth (left positive), along in parts of its
/// length.
struct Corner {
    double across, along;
};

// Rounded at heel and toes. The heel's breadth is to the ball's as in the handbook.
constexpr double heel_across = heel_breadth_part / ball_breadth_part;
constexpr Corner outline[] = {{0, 0}, {-heel_across, .10}, {-1, ball_part}, {-.6, .93},
                              {0, 1}, {.6, .93},           {1, ball_part},  {heel_across, .10}};

/// Along the foot with its ball line at `ball`, from the handbook's at ball_part.
double stretched(double along, double ball) {
    if (along <= ball_part) return along * ball / ball_part;
    return ball + (along - ball_part) * (1 - ball) / (1 - ball_part);
}

/// The outline on the ground of the neutral, its front part on the toe joint.
void lay_estimated(Draft& draft, Limb& limb) {
    const FootShape foot = measure_foot(draft, limb, draft.figure.stature);
    if (!(foot.length > least_foot * limb.length)) {
        draft.remark(
            "The foot '%s' does not point forward: its sole is left out, and it cannot stand. Are the rest "
            "pose, the up axis and the forward axis the right ones?",
            draft.figure.joints[limb.end].name);
        return;
    }
    const Placement end = neutral_placement(draft.figure.joints[limb.end]);
    const Vec3 heel = end.position + Vec3{foot.left, foot.ground, foot.heel};
    Sole& sole = limb.sole;
    sole.length = foot.length;
    sole.breadth = foot.breadth;
    sole.origin = foot.origin;
    sole.is_paw = foot.is_paw && limb.toe >= 0;
    sole.heel = to_local(end, heel);
    sole.tip = to_local(end, heel + Vec3{0, 0, foot.length});
    const double ball_line = (foot.ball - foot.heel) / foot.length;
    for (const Corner& corner : outline) {
        const bool ball = corner.along >= ball_part;
        const int32_t joint = (ball || sole.is_paw) && limb.toe >= 0 ? limb.toe : limb.end;
        const Vec3 place = heel + Vec3{corner.across * 0.5 * foot.breadth, 0,
                                       stretched(corner.along, ball_line) * foot.length};
        sole.points[sole.point_count++] = {
            joint, to_local(neutral_placement(draft.figure.joints[joint]), place), ball};
    }
}

Limb* limb_of_sole(Figure& figure, int32_t joint) {
    for (int32_t i = 0; i < figure.limb_count; ++i) {
        if (is_within(figure, joint, figure.limbs[i].end)) return &figure.limbs[i];
    }
    return nullptr;
}

/// Adds one patch of the description to the sole of the limb above it.
aplomb_status add_given(Draft& draft, int32_t index, aplomb_error* error) {
    const aplomb_patch& patch = draft.desc.soles[index];
    Limb* limb = limb_of_sole(draft.figure, patch.joint);
    if (!limb)
        return fail(error, APLOMB_BAD_FIGURE, "soles", index,
                    "soles %d: joint %d (%.64s) is not a limb's end or below one.", index, patch.joint,
                    draft.figure.joints[patch.joint].name);
    Sole& sole = limb->sole;
    if (sole.origin != APLOMB_ORIGIN_GIVEN) sole = {}; // given patches replace what the skin shows
    if (sole.point_count + patch.point_count > max_sole_points)
        return fail(error, APLOMB_BAD_FIGURE, "soles", index,
                    "soles %d: with this patch, the sole of joint %d (%.64s) has %d points; it may have %d.",
                    index, limb->end, draft.figure.joints[limb->end].name,
                    sole.point_count + patch.point_count, max_sole_points);
    const bool on_toe = limb->toe >= 0 && is_within(draft.figure, patch.joint, limb->toe);
    for (int32_t i = 0; i < patch.point_count; ++i) {
        const double* p = patch.points + 3 * static_cast<size_t>(i);
        sole.points[sole.point_count++] = {patch.joint, length_in(draft.figure.frame, {p[0], p[1], p[2]}),
                                           on_toe};
    }
    sole.origin = APLOMB_ORIGIN_GIVEN;
    return APLOMB_OK;
}

/// Ends, length and breadth of a sole from given points or the skin's, seen from above in the neutral. Without points on a toe joint,
/// those in front of the ball line count as the ball.
void measure_points(const Figure& figure, Limb& limb) {
    Sole& sole = limb.sole;
    Vec3 lowest{1e30, 1e30, 1e30}, highest{-1e30, -1e30, -1e30}, world[max_sole_points];
    bool has_ball = false;
    for (int i = 0; i < sole.point_count; ++i) {
        const Sole::Point& point = sole.points[i];
        world[i] = to_world(neutral_placement(figure.joints[point.joint]), point.position);
        has_ball = has_ball || point.ball;
        for (int k = 0; k < 3; ++k) {
            lowest[k] = std::min(lowest[k], world[i][k]);
            highest[k] = std::max(highest[k], world[i][k]);
        }
    }
    sole.length = highest.z - lowest.z;
    sole.breadth = highest.x - lowest.x;
    const double middle = 0.5 * (lowest.x + highest.x);
    const Placement end = neutral_placement(figure.joints[limb.end]);
    sole.heel = to_local(end, {middle, lowest.y, lowest.z});
    sole.tip = to_local(end, {middle, lowest.y, highest.z});
    const double ball_line = lowest.z + ball_part * sole.length;
    for (int i = 0; i < sole.point_count && !has_ball; ++i)
        sole.points[i].ball = world[i].z >= ball_line;
}

/// Third knuckle of a hand, on the way from the wrist to where the hand ends.
Vec3 grip(const Draft& draft, const Limb& limb) {
    Vec3 along;
    if (!segment_end(draft, limb.end, &along)) {
        along = draft.rest[limb.end].position - draft.rest[limb.lower].position;
        if (norm(along) == 0) return {};
    }
    const double reach = knuckle_part * hand_stature_part * draft.figure.stature;
    return rotate(conjugate(draft.rest[limb.end].rotation), normalized(along)) * reach;
}

double mean_sole_length(const Figure& figure) {
    double sum = 0;
    int count = 0;
    for (int32_t i = 0; i < figure.limb_count; ++i) {
        if (figure.limbs[i].sole.point_count == 0) continue;
        sum += figure.limbs[i].sole.length;
        ++count;
    }
    return count > 0 ? sum / count : 0;
}

/// The neutral was put on the ground with a first estimate; given soles may be thicker, and estimates that depend on the
/// stature a little different.
void touch_ground(Figure& figure) {
    double lowest = 1e30;
    for (int32_t i = 0; i < figure.limb_count; ++i) {
        const Sole& sole = figure.limbs[i].sole;
        for (int k = 0; k < sole.point_count; ++k) {
            const Placement placement = neutral_placement(figure.joints[sole.points[k].joint]);
            lowest = std::min(lowest, to_world(placement, sole.points[k].position).y);
        }
    }
    if (lowest == 1e30) return;
    shift_hips(figure, -lowest);
    figure.stature -= lowest;
}

/// Where the ball's part of a sole begins.
void find_ball(const Figure& figure, const Limb& limb, Sole& sole) {
    const Joint& end = figure.joints[limb.end];
    const Vec3 line = sole.tip - sole.heel;
    for (int i = 0; i < sole.point_count; ++i) {
        if (!sole.points[i].ball) continue;
        const Joint& joint = figure.joints[sole.points[i].joint];
        const Vec3 neutral = joint.neutral_position + rotate(joint.neutral, sole.points[i].position);
        const Vec3 in_end = rotate(conjugate(end.neutral), neutral - end.neutral_position);
        sole.ball_place = std::min(sole.ball_place, dot(in_end - sole.heel, line) / dot(line, line));
    }
}

void remark_on_estimates(Draft& draft) {
    for (int32_t i = 0; i < draft.figure.limb_count; ++i) {
        const Sole& sole = draft.figure.limbs[i].sole;
        if (sole.point_count == 0 || sole.origin != APLOMB_ORIGIN_FROM_MEMORY) continue;
        draft.remark(
            "The soles are estimated from joints and handbook proportions; where the ankle stands over the "
            "foot is common practice.");
        return;
    }
}

} // namespace

aplomb_status set_soles(Draft& draft, aplomb_error* error) {
    Figure& figure = draft.figure;
    for (int32_t i = 0; i < draft.desc.sole_count; ++i) {
        if (const auto s = add_given(draft, i, error)) return s;
    }
    for (int32_t i = 0; i < figure.limb_count; ++i) {
        Limb& limb = figure.limbs[i];
        if (limb.kind == APLOMB_ARM) limb.palm = grip(draft, limb);
        if (limb.sole.point_count > 0)
            measure_points(figure, limb);
        else if (limb.kind != APLOMB_ARM)
            lay_estimated(draft, limb);
    }
    figure.sole_length = mean_sole_length(figure);
    touch_ground(figure);
    for (int32_t i = 0; i < figure.limb_count; ++i)
        find_ball(figure, figure.limbs[i], figure.limbs[i].sole);
    remark_on_estimates(draft);
    return APLOMB_OK;
}

} // namespace aplomb
