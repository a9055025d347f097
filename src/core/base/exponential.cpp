// SPDX-License-Identifier: MIT
#include "base/exponential.h"

#include <bit>
#include <cmath>
#include <cstdint>

#include "base/pair_math.h"

namespace aplomb {
namespace {

// ln 2 in two pieces; the first has 33 significant bits, so k * ln2_head is exact for |k| < 2^20.
constexpr double ln2_head = 6.93147180369123816490e-01;
constexpr double ln2_tail = 1.90821492927058770002e-10;
constexpr double largest = 700;

/// e^r for |r| <= ln 2 / 2: the first term left out is below 1e-18.
template<class Number>
Number exp_reduced(const Number& r) {
    Number p = 1.0 / 87178291200.0 * r + 1.0 / 6227020800.0;
    p = p * r + 1.0 / 479001600.0;
    p = p * r + 1.0 / 39916800.0;
    p = p * r + 1.0 / 3628800.0;
    p = p * r + 1.0 / 362880.0;
    p = p * r + 1.0 / 40320.0;
    p = p * r + 1.0 / 5040.0;
    p = p * r + 1.0 / 720.0;
    p = p * r + 1.0 / 120.0;
    p = p * r + 1.0 / 24.0;
    p = p * r + 1.0 / 6.0;
    p = p * r + 0.5;
    return 1.0 + (r + r * r * p);
}

/// 2^k for -1022 <= k <= 1023.
double power_of_two(int k) {
    return std::bit_cast<double>(static_cast<uint64_t>(1023 + k) << 52);
}

/// The whole number nearest to x / ln 2.
double halvings(double x) {
    return std::floor(x / (ln2_head + ln2_tail) + 0.5);
}

} // namespace

double exp_negative(double x) {
    if (x > largest) return 0.0;
    if (!(x >= -largest))
        return x < 0 ? exp_negative(-largest) : x; // what is no number must not become an index
    const double k = halvings(x);
    const double r = (x - k * ln2_head) - k * ln2_tail;
    return exp_reduced(-r) * power_of_two(-static_cast<int>(k));
}

Pair exp_negative(const Pair& x) {
    if (!(std::fabs(x[0]) <= largest && std::fabs(x[1]) <= largest))
        return Pair{exp_negative(x[0]), exp_negative(x[1])};
    const Pair k = floor_of(x / (ln2_head + ln2_tail) + 0.5);
    const Pair r = (x - k * ln2_head) - k * ln2_tail;
    const PairBits power = (std::bit_cast<PairBits>(whole - k) + 1023) << 52; // 2^-k
    return exp_reduced<Pair>(-r) * std::bit_cast<Pair>(power);
}

} // namespace aplomb
