// SPDX-License-Identifier: MIT
// Functions of two numbers side by side: the bits of exponential.h and trig.h, in little more than the time of one.
#pragma once

#include "base/pair.h"

namespace aplomb {

/// Next to this number lie the whole ones: what is added to it is rounded, and stands in the sum's last bits.
inline constexpr double whole = 0x1.8p52;

/// std::floor of both, within 2^51.
inline Pair floor_of(const Pair& x) {
    const Pair nearest = (x + whole) - whole;
    return nearest > x ? nearest - 1.0 : nearest;
}

/// e^-x of both.
Pair exp_negative(const Pair& x);

struct SinCosPair {
    Pair sin, cos;
};
SinCosPair sin_cos(const Pair& angle);

} // namespace aplomb
