// SPDX-License-Identifier: MIT
// A consumer of aplomb.hpp. Prints the corrected pose exactly, so that two programs can be compared.
#include <aplomb/aplomb.hpp>

#include <cstdio>

#include "../../examples/lay_figure.h"

int main() {
    const aplomb::Figure figure(lay_figure());
    aplomb::Solver solver(figure);
    const aplomb::Pose keyed = figure.rest_pose();
    aplomb_load bucket = aplomb_load_make(15, right_hand);
    bucket.hanging = 1;
    bucket.hang = 0.35;
    const aplomb_load loads[] = {bucket};
    const aplomb::Correction made = solver.balance(aplomb::situation(keyed, loads));
    for (const double number : made.pose.translations)
        std::printf("%a\n", number);
    for (const double number : made.pose.rotations)
        std::printf("%a\n", number);
    return made.status == APLOMB_OK && made.result.controls.hips_shift[0] > 0 ? 0 : 1;
}
