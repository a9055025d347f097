/* SPDX-License-Identifier: MIT
 * A bucket of syrup in the right hand: build a figure from arrays, balance its pose, check the result. */
#include <aplomb/aplomb.h>
#include <stdio.h>

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

int main(void) {
    aplomb_figure_desc desc;
    aplomb_figure_desc_init(&desc, sizeof desc);
    desc.joint_count = joint_count;
    desc.parents = parents;
    desc.names = names;
    desc.translations = offsets;
    desc.total_mass = 75;
    aplomb_figure* figure = NULL;
    aplomb_solver* solver = NULL;
    aplomb_error error;
    if (aplomb_figure_create(&desc, NULL, &figure, &error) ||
        aplomb_solver_create(figure, NULL, &solver, &error))
        return fprintf(stderr, "%s\n", error.message), 2;

    double translations[3 * joint_count], rotations[4 * joint_count]; /* the keyed pose; here the rest pose */
    aplomb_figure_rest_pose(figure, translations, rotations);
    aplomb_load bucket = aplomb_load_make(15, right_hand);
    bucket.hanging = 1;
    bucket.hang = 0.35;
    aplomb_situation situation;
    aplomb_situation_init(&situation, sizeof situation);
    situation.translations = translations;
    situation.rotations = rotations;
    situation.loads = &bucket;
    situation.load_count = 1;

    aplomb_result result;
    aplomb_result_init(&result, sizeof result);
    aplomb_status status = aplomb_balance(solver, &situation, NULL, translations, rotations, &result, &error);
    char why[2048] = "";
    if (status >= 0) aplomb_explain(figure, &result, why, sizeof why);
    printf("%s\n%s", status < 0 ? error.message : aplomb_status_text(status), why);
    aplomb_solver_destroy(solver);
    aplomb_figure_destroy(figure);
    return status == APLOMB_OK && result.controls.hips_shift[0] > 0 ? 0 : 1; /* hips away from the bucket */
}
