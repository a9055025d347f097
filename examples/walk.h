/* SPDX-License-Identifier: MIT
 * A walk as one keys it: hips in the middle, steps of 0.42 m in 14 frames of 24 a second, arms that come up to take a box
 * at `taken` seconds. Invented. */
#ifndef WALK_H
#define WALK_H

#include "lay_figure.h"

#include <math.h>

static inline double walk_smooth(double part) {
    part = fmin(1, fmax(0, part));
    return part * part * (3 - 2 * part);
}

static inline void walk_turn(double* pose, int joint, double angle) { /* about the left axis: forward */
    double* q = pose + 3 * joint_count + 4 * joint;
    q[0] = sin(angle / 2), q[1] = q[2] = 0, q[3] = cos(angle / 2);
}

/* Thigh, knee and a level foot so that the ankle is `down` below the hip joint and `forward` of it. */
static inline void walk_leg(double* pose, int thigh, double down, double forward) {
    const double l1 = hypot(.43, .02), l2 = hypot(.43, .03), at1 = atan2(.02, .43), at2 = atan2(.03, .43);
    const double d = fmin(hypot(down, forward), .9999 * (l1 + l2)), line = atan2(-forward, down);
    const double a = line - acos((d * d + l1 * l1 - l2 * l2) / (2 * d * l1)) - at1;
    const double b = line + acos((d * d + l2 * l2 - l1 * l1) / (2 * d * l2)) - at2;
    walk_turn(pose, thigh, a), walk_turn(pose, thigh + 1, b - a), walk_turn(pose, thigh + 2, -b);
}

/* Translations, then rotations. */
static inline void walk_pose(const aplomb_figure* figure, double time, double taken, double* pose) {
    const double step = 14.0 / 24, length = 0.42, hips = 0.885, ankle = 0.07;
    aplomb_figure_rest_pose(figure, pose, pose + 3 * joint_count);
    pose[1] = hips, pose[2] = length * time / step;
    for (int side = 0; side < 2; ++side) {
        /* A foot stands for 13 of 24 parts of its stride and is lifted over to its next place in the others. */
        const double phase = time / step + side, stride = floor(phase / 2), in = phase - 2 * stride;
        const double part = fmin(1, fmax(0, (in - 13.0 / 12) / (10.0 / 12)));
        const double place = (2 * stride - side + 0.5 + 2 * walk_smooth(part)) * length;
        const double lift = 0.08 * sin(3.14159265 * part) * sin(3.14159265 * part);
        walk_leg(pose, side == 0 ? left_thigh : right_thigh, hips - ankle - lift, place - pose[2] - 0.05);
    }
    const double up = walk_smooth((time - taken + 0.5) / 0.5),
                 swing = 0.3 * cos(3.14159265 * time / step) * (1 - up);
    walk_turn(pose, left_hand - 2, swing - 0.25 * up), walk_turn(pose, right_hand - 2, -swing - 0.25 * up);
    walk_turn(pose, left_hand - 1, -0.2 - 1.2 * up), walk_turn(pose, right_hand - 1, -0.2 - 1.2 * up);
}

#endif
