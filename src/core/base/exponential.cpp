// SPDX-License-Identifier: MIT
#include "base/exponential.h"

#include <bit>
#include <cmath>
#include <cstdint>

namespace aplomb {
namespace {

// ln 2 in two parts; the first has few enough digits for its multiples to be exact.
constexpr double ln2_high = 0x1.62e42feep-1, ln2_low = 0x1.a39ef35793c76p-33;
constexpr double log2_e = 0x1.71547652b82fep+0;
constexpr int terms = 14; // of the Taylor series; the next is below 1e-17
constexpr double underflow = 708;

} // namespace

double exp_negative(double x) {
    if (!(x <= underflow)) return x > underflow ? 0.0 : x; // NaN stays
    const double halvings = std::floor(x * log2_e + 0.5);
    const double r = (x - halvings * ln2_high) - halvings * ln2_low;
    double sum = 1;
    for (int k = terms; k > 0; --k)
        sum = 1.0 - r / k * sum;
    const uint64_t exponent = 1023 - static_cast<uint64_t>(halvings);
    return sum * std::bit_cast<double>(exponent << 52);
}

} // namespace aplomb
