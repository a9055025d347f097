// SPDX-License-Identifier: MIT
// Which numbers of the options table are learnt, and on which scale: each as the logarithm of a factor.
#pragma once

#include <vector>

#include "aplomb/fit.h"

namespace aplomb::fit {

struct Learnt {
    int32_t option = -1; // index in the table
    const char* name = "";
    double usual = 0;               // where it starts
    double lowest = 0, highest = 0; // of the logarithm

    double value(double logarithm) const;
};

/// The numbers that may be learnt: one that is 0 has no scale, and swivel tells nothing where it is not free.
std::vector<Learnt> learnt_numbers(const aplomb_options& start);

/// `start` with these numbers set; `logarithms` has one for each.
aplomb_options with_numbers(const aplomb_options& start, const std::vector<Learnt>& numbers,
                            const double* logarithms);

/// The standard deviation of a number's logarithm: how far an animator's manner usually is from ours. By eye.
inline constexpr double prior_width = 0.4;

} // namespace aplomb::fit
