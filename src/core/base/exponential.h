// SPDX-License-Identifier: MIT
// exp(-x) from +, -, * and exact scaling by powers of two, so that every machine gives the same bits.
#pragma once

namespace aplomb {

/// e^-x within 2 units in the last place for -700 < x < 700; 0 above, not a number for what is none.
double exp_negative(double x);

} // namespace aplomb
