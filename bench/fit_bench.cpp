// SPDX-License-Identifier: MIT
// Seconds to learn a manner from 4, 8 and 16 pairs: the least and the most of six studios.
#include <algorithm>
#include <chrono>
#include <cstdio>
#include <initializer_list>

#include "fit/studio.h"

int main() {
    for (const int count : {4, 8, 16}) {
        double least = 1e9, most = 0;
        for (uint64_t seed = 1; seed <= 6; ++seed) {
            studio::Studio studio(seed);
            const auto sheets = studio.sheets(count, 1);
            const auto begin = std::chrono::steady_clock::now();
            const studio::Manner manner = studio.learn(sheets);
            const std::chrono::duration<double> took = std::chrono::steady_clock::now() - begin;
            least = std::min(least, took.count()), most = std::max(most, took.count());
        }
        std::printf("a manner from %2d pairs: %.2f to %.2f s\n", count, least, most);
    }
}
