/* SPDX-License-Identifier: MIT
 * The lay figure of balance.c, for the other C examples: 16 joints, metres, +Y up, +Z forward. Invented. */
#ifndef LAY_FIGURE_H
#define LAY_FIGURE_H

#include <aplomb/aplomb.h>

enum {
    left_hand = 6,
    right_hand = 9,
    left_thigh = 10,
    left_shank = 11,
    left_foot = 12,
    right_thigh = 13,
    right_shank = 14,
    right_foot = 15,
    joint_count = 16,
    left_leg = 0,
    right_leg = 1 /* limbs */
};

/* The description; its arrays are static. */
static inline aplomb_figure_desc lay_figure(void) {
    static const char* const names[] = {
        "hips",      "spine",           "chest",           "head",       "left_upper_arm", "left_lower_arm",
        "left_hand", "right_upper_arm", "right_lower_arm", "right_hand", "left_thigh",     "left_shank",
        "left_foot", "right_thigh",     "right_shank",     "right_foot"};
    static const int32_t parents[] = {-1, 0, 1, 2, 2, 4, 5, 2, 7, 8, 0, 10, 11, 0, 13, 14};
    static const double offsets[] = {0,   .93,  .05,  0,    .12,  0, 0,   .2,   0,    0,    .35,  0,
                                     .19, .18,  0,    0,    -.28, 0, 0,   -.27, 0,    -.19, .18,  0,
                                     0,   -.28, 0,    0,    -.27, 0, .09, 0,    0,    0,    -.43, -.02,
                                     0,   -.43, -.03, -.09, 0,    0, 0,   -.43, -.02, 0,    -.43, -.03};
    aplomb_figure_desc desc;
    aplomb_figure_desc_init(&desc, sizeof desc);
    desc.joint_count = joint_count;
    desc.parents = parents;
    desc.names = names;
    desc.translations = offsets;
    desc.total_mass = 75;
    return desc;
}

#endif
