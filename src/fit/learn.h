// SPDX-License-Identifier: MIT
// From pairs to a manner: rounds of fits, what the pairs tell, and each pair left out in turn.
#pragma once

#include <vector>

#include "fit/cost.h"

namespace aplomb::fit {

/// Everything that is told of a manner.
struct Manner {
    aplomb_manner_info info;
    std::vector<aplomb_manner_number> numbers;
    std::vector<aplomb_manner_pair> pairs;
};

/// Tells the caller how far the work is; false: it has to end.
struct Progress {
    aplomb_progress report;
    void* user;
    bool goes_on(double part) const { return !report || report(part, user) == 0; }
};

/// Returns CANCELLED or OK.
aplomb_status learn(const Pairs& pairs, const Progress& progress, Manner& manner, aplomb_error* error);

} // namespace aplomb::fit
