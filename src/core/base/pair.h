// SPDX-License-Identifier: MIT
// Two numbers side by side in one register where the processor has such ones, and the same bits where it has not.
#pragma once

#include <cstring>

namespace aplomb {

using Pair = double __attribute__((vector_size(16))); // of g++ and clang++

inline Pair pair_at(const double* from) {
    Pair pair;
    std::memcpy(&pair, from, sizeof pair);
    return pair;
}
inline void put(double* to, Pair pair) {
    std::memcpy(to, &pair, sizeof pair);
}

} // namespace aplomb
