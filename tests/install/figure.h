/* SPDX-License-Identifier: MIT
 * The figure and the bucket of examples/balance.c, for the consumers of an installed library. */
#include <aplomb/aplomb.h>

enum { joint_count = 16, right_hand = 9 };
static const char* const names[] = {
    "hips",      "spine",           "chest",           "head",       "left_upper_arm", "left_lower_arm",
    "left_hand", "right_upper_arm", "right_lower_arm", "right_hand", "left_thigh",     "left_shank",
    "left_foot", "right_thigh",     "right_shank",     "right_foot"};
static const int32_t parents[] = {-1, 0, 1, 2, 2, 4, 5, 2, 7, 8, 0, 10, 11, 0, 13, 14};
static const double offsets[] = {0,    .93, .05,  0,    .12,  0,    0,    .2,   0,    0,    .35, 0,    .19,
                                 .18,  0,   0,    -.28, 0,    0,    -.27, 0,    -.19, .18,  0,   0,    -.28,
                                 0,    0,   -.27, 0,    .09,  0,    0,    0,    -.43, -.02, 0,   -.43, -.03,
                                 -.09, 0,   0,    0,    -.43, -.02, 0,    -.43, -.03}; /* metres */

static inline void describe(aplomb_figure_desc* desc) {
    aplomb_figure_desc_init(desc, sizeof *desc);
    desc->joint_count = joint_count;
    desc->parents = parents;
    desc->names = names;
    desc->translations = offsets;
    desc->total_mass = 75;
}

static inline aplomb_load bucket_of_syrup(void) {
    aplomb_load bucket = aplomb_load_make(15, right_hand);
    bucket.hanging = 1;
    bucket.hang = 0.35;
    return bucket;
}
