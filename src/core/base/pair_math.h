// SPDX-License-Identifier: MIT
// Functions of two numbers side by side: the bits of exponential.h and trig.h, in little more than the time of one.
#pragma once

#include "base/pair.h"

namespace aplomb {

/// e^-x of both.
Pair exp_negative(const Pair& x);

struct SinCosPair {
    Pair sin, cos;
};
SinCosPair sin_cos(const Pair& angle);

} // namespace aplomb
