// SPDX-License-Identifier: MIT
// What dots have to fulfil before they are fitted, and a fit before it is given out.
#pragma once

#include "fit/drawing/problem.h"

namespace aplomb::drawing {

/// Checks what the caller gave and makes the task from it, but for limits and guesses.
aplomb_status check_dots(const aplomb_dots& dots, Task& task, aplomb_error* error);

struct Misfit {
    double mean = 0, worst = 0; // of the stature
    int dot = 0;                // the worst
};
Misfit misfit_of(const Task& task, const Values& values);

/// Refuses a fit that no figure makes: says whether a left and a right dot look swapped.
aplomb_status check_fit(const Task& task, const Found& best, aplomb_error* error);

} // namespace aplomb::drawing
