// SPDX-License-Identifier: MIT
// What part of the trunk's bend each joint takes. The hips' own part is 35 % of a bend, 25 % of a lean and 20
// % of a twist; the thirds of the spine above take 30/20/15, 30/25/20 and 10/30/40 % (common practice). A
// joint takes what its stretch of the spine holds, so that cutting a stretch in two changes nothing.
#include <algorithm>

#include "figure/steps.h"

namespace aplomb {
namespace {

// Per third of the spine, from below: bend, twist, lean.
constexpr Vec3 spine_thirds[3] = {{.30, .10, .30}, {.20, .30, .25}, {.15, .40, .20}};
// Every third of the neck alike.
constexpr Vec3 neck_thirds[3] = {
    {1. / 3, 1. / 3, 1. / 3}, {1. / 3, 1. / 3, 1. / 3}, {1. / 3, 1. / 3, 1. / 3}};
// A last joint at the very top still takes a little: this part of the length.
constexpr double least_top = 0.05;
// Joints closer than this part of the length are at one place.
constexpr double same_place = 1e-6;

/// The sum of what lies below `place`, which goes from 0 to 1 along the region.
Vec3 below(const Vec3 (&thirds)[3], double place) {
    Vec3 sum;
    for (int k = 0; k < 3; ++k)
        sum += thirds[k] * std::min(1.0, std::max(0.0, 3 * place - k));
    return sum;
}

/// `start` holds where each joint's stretch begins, and at [count] where the last one ends.
void share_out(LeanJoint* joints, int32_t count, const double* start, const Vec3 (&thirds)[3]) {
    const double from = start[0], length = start[count] - start[0];
    for (int32_t first = 0; first < count;) {
        int32_t last = first;
        while (last + 1 < count && start[last + 1] - start[first] <= same_place * length)
            ++last;
        const double part_from = length > 0 ? (start[first] - from) / length : 0;
        const double part_to = length > 0 ? (start[last + 1] - from) / length : 1;
        const Vec3 share = below(thirds, part_to) - below(thirds, part_from);
        for (int32_t i = first; i <= last; ++i)
            joints[i].share = share / (last - first + 1);
        first = last + 1;
    }
}

/// Lengths along the joints' own line, up to the last joint.
void measure(const Figure& figure, const LeanJoint* joints, int32_t count, double* start) {
    start[0] = 0;
    for (int32_t i = 1; i < count; ++i) {
        const Vec3 step = figure.joints[joints[i].joint].neutral_position -
                          figure.joints[joints[i - 1].joint].neutral_position;
        start[i] = start[i - 1] + norm(step);
    }
}

/// The middle between the shoulders (or fore legs); false where there are none.
bool middle_of_shoulders(const Figure& figure, Vec3* middle) {
    Vec3 sum;
    int count = 0;
    for (int32_t i = 0; i < figure.limb_count; ++i) {
        if (figure.limbs[i].kind == APLOMB_LEG) continue;
        sum += figure.joints[figure.limbs[i].upper].neutral_position;
        ++count;
    }
    if (count > 0) *middle = sum / count;
    return count > 0;
}

/// How far the trunk goes on above its last spine joint: to the neck or the shoulders, whichever is higher.
double last_stretch(const Figure& figure, double length_below) {
    const Vec3 base = figure.joints[figure.spine[0].joint].neutral_position;
    const Vec3 chest = figure.joints[figure.chest].neutral_position;
    const int32_t neck = figure.neck_count > 0 ? figure.neck[0].joint : figure.head;
    Vec3 shoulders;
    const bool has_shoulders = middle_of_shoulders(figure, &shoulders);
    Vec3 line = chest - base;
    if (neck >= 0)
        line = figure.joints[neck].neutral_position - base;
    else if (has_shoulders)
        line = shoulders - base;
    const double length = norm(line);
    double stretch = least_top * length_below;
    if (length == 0) return stretch;
    if (neck >= 0)
        stretch = std::max(stretch, dot(figure.joints[neck].neutral_position - chest, line) / length);
    if (has_shoulders) stretch = std::max(stretch, dot(shoulders - chest, line) / length);
    return stretch;
}

void share_neck(Figure& figure) {
    if (figure.neck_count == 0) {
        if (figure.head < 0) return;
        figure.neck[0].joint = figure.head;
        figure.neck_count = 1;
    }
    double start[max_lean_joints + 1];
    measure(figure, figure.neck, figure.neck_count, start);
    const int32_t last = figure.neck[figure.neck_count - 1].joint;
    double stretch = least_top * start[figure.neck_count - 1];
    if (figure.head >= 0)
        stretch = std::max(stretch, norm(figure.joints[figure.head].neutral_position -
                                         figure.joints[last].neutral_position));
    start[figure.neck_count] = start[figure.neck_count - 1] + stretch;
    share_out(figure.neck, figure.neck_count, start, neck_thirds);
}

} // namespace

void share_trunk(Draft& draft) {
    Figure& figure = draft.figure;
    if (figure.spine_count > 0) {
        double start[max_lean_joints + 1];
        measure(figure, figure.spine, figure.spine_count, start);
        const double below_chest = start[figure.spine_count - 1];
        start[figure.spine_count] = below_chest + last_stretch(figure, below_chest);
        share_out(figure.spine, figure.spine_count, start, spine_thirds);
    } else {
        draft.remark("There is no spine joint; a correction moves the hips alone.");
    }
    share_neck(figure);
}

} // namespace aplomb
