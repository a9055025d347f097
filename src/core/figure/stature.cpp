// SPDX-License-Identifier: MIT
// Heights over stature: hip joint .530, ankle .039 (Drillis and Contini 1966, in Winter, Biomechanics,
// figure 4.1); ear to crown .0748 (tragion, ANSUR II 2012). Head joint, at the base of the skull, at .91:
// common practice.
#include "figure/stature.h"

#include <algorithm>

#include "figure/foot_shape.h"
#include "figure/mesh_crown.h"
#include "figure/mesh_soles.h"

namespace aplomb {
namespace {

constexpr double hip_part = .530, ankle_part_of_stature = .039, head_joint_part = .91, ear_to_crown = .0748;
constexpr double head_is_low = 0.95;

double lowest_leg_end(const Figure& figure) {
    double lowest = figure.joints[figure.hips].neutral_position.y;
    for (int32_t i = 0; i < figure.limb_count; ++i) {
        const Limb& limb = figure.limbs[i];
        if (limb.kind != APLOMB_ARM) lowest = std::min(lowest, figure.joints[limb.end].neutral_position.y);
    }
    return lowest;
}

/// Mean height of the legs' first joints; of the hips where there are none.
double hip_height(const Figure& figure) {
    double sum = 0;
    int count = 0;
    for (int32_t i = 0; i < figure.limb_count; ++i) {
        if (figure.limbs[i].kind != APLOMB_LEG) continue;
        sum += figure.joints[figure.limbs[i].upper].neutral_position.y;
        ++count;
    }
    return count > 0 ? sum / count : figure.joints[figure.hips].neutral_position.y;
}

/// From the heights of head and hip joints over `base`, which itself lies at this part of the stature. A head
/// joint far lower than the hip joints suggest sits on the neck, not under the skull (CMU's): then the hip joints
/// tell.
double estimated_stature(const Figure& figure, double base, double base_part) {
    const double by_hip = (hip_height(figure) - base) / (hip_part - base_part);
    if (figure.head < 0) return by_hip;
    const double head = figure.joints[figure.head].neutral_position.y;
    const double by_head = (head - base) / (head_joint_part - base_part);
    return by_head < head_is_low * by_hip ? by_hip : by_head;
}

double lowest_point(const Figure& figure, const Sole& sole) {
    double lowest = 1e30;
    for (int i = 0; i < sole.point_count; ++i) {
        const Placement placement = neutral_placement(figure.joints[sole.points[i].joint]);
        lowest = std::min(lowest, to_world(placement, sole.points[i].position).y);
    }
    return lowest;
}

/// The height of the lowest sole: the skin's where it shows one, else as estimated from the joints.
double ground_of(const Draft& draft, double stature) {
    const Figure& figure = draft.figure;
    double ground = lowest_leg_end(figure);
    for (int32_t i = 0; i < figure.limb_count; ++i) {
        const Limb& limb = figure.limbs[i];
        if (limb.kind == APLOMB_ARM) continue;
        const double end = figure.joints[limb.end].neutral_position.y;
        const double sole = limb.sole.point_count > 0 ? lowest_point(figure, limb.sole)
                                                      : end + measure_foot(draft, limb, stature).ground;
        ground = std::min(ground, sole);
    }
    return ground;
}

/// A head whose end the file marks near the skin's highest point has hair or a hat above it.
double crown_below_hat(const Draft& draft, double crown) {
    constexpr double lowest_mark = 0.94, highest_mark = 1.3; // of the skin's height
    const Figure& figure = draft.figure;
    if (figure.head < 0 || !draft.has_tip[figure.head] || is_quadruped(figure)) return crown;
    const Joint& head = figure.joints[figure.head];
    const double base = lowest_leg_end(figure), top = crown - base;
    const double mark = head.neutral_position.y + rotate(head.neutral, head.tip).y;
    return mark - base > lowest_mark * top && mark - base < highest_mark * top ? mark : crown;
}

/// Crown over ground: the skin's, else the joints'. Some files end the head's segment at the ears or below (CMU's); such a tip is no crown.
double crown_height(Draft& draft) {
    const Figure& figure = draft.figure;
    if (double crown; find_mesh_crown(draft, &crown)) return crown_below_hat(draft, crown);
    const double estimate = estimated_stature(figure, 0, 0);
    if (figure.head < 0) return estimate;
    const Joint& head = figure.joints[figure.head];
    const double base = head.neutral_position.y;
    const double tip = draft.has_tip[figure.head] ? rotate(head.neutral, head.tip).y : 0;
    if (is_quadruped(figure)) return base + std::max(tip, 0.0);
    if (tip >= ear_to_crown * estimate) return base + tip;
    draft.remark("The crown is estimated from the head joint or the legs; the stature comes out as %.3f m.",
                 estimate);
    return estimate;
}

double mean_leg_length(const Figure& figure) {
    double sum = 0;
    int count = 0;
    for (int32_t i = 0; i < figure.limb_count; ++i) {
        if (figure.limbs[i].kind == APLOMB_ARM) continue;
        sum += figure.limbs[i].length;
        ++count;
    }
    return count > 0 ? sum / count : 0;
}

} // namespace

void shift_hips(Figure& figure, double up) {
    for (int32_t j = 0; j < figure.joint_count; ++j) {
        if (is_within(figure, j, figure.hips)) figure.joints[j].neutral_position.y += up;
    }
}

aplomb_status stand_on_ground(Draft& draft, aplomb_error* error) {
    Figure& figure = draft.figure;
    const double lowest = lowest_leg_end(figure);
    double stature = estimated_stature(figure, lowest, ankle_part_of_stature);
    if (double crown; find_mesh_crown(draft, &crown))
        stature = (crown_below_hat(draft, crown) - lowest) / (1 - ankle_part_of_stature);
    if (const auto s = find_mesh_soles(draft, stature, error)) return s;
    shift_hips(figure, -ground_of(draft, stature));
    figure.stature = crown_height(draft);
    figure.leg_length = mean_leg_length(figure);
    return APLOMB_OK;
}

} // namespace aplomb
