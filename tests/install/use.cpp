// SPDX-License-Identifier: MIT
// A consumer of aplomb.hpp. Prints the corrected pose exactly, so that two programs can be compared.
#include <aplomb/aplomb.hpp>

#include <cstdio>

#include "figure.h"

int main() {
    aplomb_figure_desc desc;
    describe(&desc);
    const aplomb::Figure figure(desc);
    aplomb::Solver solver(figure);
    const aplomb::Pose keyed = figure.rest_pose();
    const aplomb_load loads[] = {bucket_of_syrup()};
    const aplomb::Correction made = solver.balance(aplomb::situation(keyed, loads));
    for (const double number : made.pose.translations)
        std::printf("%a\n", number);
    for (const double number : made.pose.rotations)
        std::printf("%a\n", number);
    return made.status == APLOMB_OK && made.result.controls.hips_shift[0] > 0 ? 0 : 1;
}
