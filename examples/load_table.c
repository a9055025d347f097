/* SPDX-License-Identifier: MIT
 * A table for the animator's wall: how far to lean against a load of so many kilograms, and what mass the
 * balanced pose reads as. One row per mass: a box before the belly, a bucket at the right, a hive on the back. */
#include "lay_figure.h"

#include <math.h>
#include <stdio.h>

enum { carry_count = 3, chest = 2, row_count = 12 };
static const double degree = 3.14159265358979323846 / 180;

static aplomb_load carried(int carry, double mass) {
    aplomb_load load = aplomb_load_make(mass, carry == 0 ? left_hand : carry == 1 ? right_hand : chest);
    if (carry == 0) load.holder[1] = right_hand, load.offset[1] = 0.25, load.offset[2] = 0.30;
    if (carry == 1) load.hanging = 1, load.hang = 0.35;
    if (carry == 2) load.offset[1] = 0.10, load.offset[2] = -0.28;
    return load;
}

/* The lean of the balanced chest in degrees: back, to the left, forward; and the mass that it counters. */
static aplomb_status suggest(aplomb_solver* solver, aplomb_situation* situation, int carry, double* lean,
                             double* reads_as) {
    double places[3 * joint_count], turns[4 * joint_count];
    aplomb_result result;
    aplomb_reading reading;
    aplomb_result_init(&result, sizeof result);
    aplomb_reading_init(&reading, sizeof reading);
    const aplomb_status status = aplomb_balance(solver, situation, NULL, places, turns, &result, NULL);
    if (status < 0) return status;
    aplomb_read_corrected(solver, situation, NULL, places, turns, &result, &reading, NULL);
    const double* hips = result.controls.hips_turn;
    const double* spine = result.controls.chest;
    *lean = (carry == 0   ? -hips[0] - spine[0]
             : carry == 1 ? -hips[2] - spine[2]
                          : hips[0] + spine[0]) /
            degree;
    *reads_as = reading.loads[0].countered;
    return status;
}

int main(void) {
    const aplomb_figure_desc desc = lay_figure();
    aplomb_figure* figure = NULL;
    aplomb_solver* solver = NULL;
    aplomb_error error;
    if (aplomb_figure_create(&desc, NULL, &figure, &error) ||
        aplomb_solver_create(figure, NULL, &solver, &error))
        return fprintf(stderr, "%s\n", error.message), 2;
    double places[3 * joint_count], turns[4 * joint_count];
    aplomb_figure_rest_pose(figure, places, turns);

    int wrong = 0;
    double last_lean[carry_count] = {0}, last_mass[carry_count] = {0};
    printf("  load    box before belly     bucket at right      hive on back\n"
           "    kg    back    reads as     left    reads as     forward reads as\n");
    for (int row = 1; row <= row_count; ++row) {
        const double mass = 4.0 * row;
        printf("%6.0f", mass);
        for (int carry = 0; carry < carry_count; ++carry) {
            const aplomb_load load = carried(carry, mass);
            aplomb_situation situation;
            aplomb_situation_init(&situation, sizeof situation);
            situation.translations = places, situation.rotations = turns;
            situation.loads = &load, situation.load_count = 1;
            double lean = 0, reads_as = 0;
            const aplomb_status status = suggest(solver, &situation, carry, &lean, &reads_as);
            printf("%8.1f%s %6.1f kg ", lean, status == APLOMB_OK ? " " : "!", reads_as);
            /* More load, no less lean, and the pose says so; up to a lean that is a strain it reads as what it carries, past it
               the knees tell. */
            if (!(lean > last_lean[carry] - 0.05) || !(reads_as > last_mass[carry])) wrong++;
            if (lean < 20 && fabs(reads_as - mass) > 0.15 * mass) wrong++;
            last_lean[carry] = lean, last_mass[carry] = reads_as;
        }
        printf("\n");
    }
    printf("Leans of the chest in degrees; ! marks a load that limits keep from balance.\n");
    aplomb_solver_destroy(solver);
    aplomb_figure_destroy(figure);
    return wrong == 0 ? 0 : 1;
}
