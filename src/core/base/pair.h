// SPDX-License-Identifier: MIT
// Two numbers side by side in one register where the processor has such ones, and the same bits where it has not.
#pragma once

#include <cmath>
#include <cstdint>
#include <cstring>
#ifdef __SSE2__
#include <emmintrin.h>
#endif

namespace aplomb {

using Pair = double __attribute__((vector_size(16))); // of g++ and clang++
using PairBits = uint64_t __attribute__((vector_size(16)));

inline Pair pair_at(const double* from) {
    Pair pair;
    std::memcpy(&pair, from, sizeof pair);
    return pair;
}
inline void put(double* to, Pair pair) {
    std::memcpy(to, &pair, sizeof pair);
}

inline Pair square_root(const Pair& a) {
#ifdef __SSE2__
    return _mm_sqrt_pd(a);
#else
    return Pair{std::sqrt(a[0]), std::sqrt(a[1])};
#endif
}
/// As processors have them: beside what is no number, `b`.
template<class Number>
Number lesser(const Number& a, const Number& b) {
    return a < b ? a : b;
}
template<class Number>
Number greater(const Number& a, const Number& b) {
    return a > b ? a : b;
}

} // namespace aplomb
