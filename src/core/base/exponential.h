// SPDX-License-Identifier: MIT
// The exponential from +, -, * and floor alone, so that every machine gives the same bits.
#pragma once

namespace aplomb {

/// e^-x for x of 0 or more, within 2 units in the last place; 0 past 708.
double exp_negative(double x);

} // namespace aplomb
