// SPDX-License-Identifier: MIT
// Stands for fit.cpp and dots.cpp where Ceres Solver was not found.
#include "cli/commands.h"
#include "cli/failure.h"

namespace aplomb::cli {

int run_fit(const Arguments&) {
    throw Failure{"this build cannot fit: it was made without Ceres Solver"};
}
int run_dots(const Arguments&) {
    throw Failure{"this build cannot lay a figure under dots: it was made without Ceres Solver"};
}

} // namespace aplomb::cli
