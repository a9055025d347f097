// SPDX-License-Identifier: MIT
// By hand: how well a known manner comes back. Arguments: trials [200], the first seed [1], how many pairs [4, 8, 16].
#include <chrono>
#include <cstdio>
#include <cstdlib>

#include "fit/trial.h"

int main(int count, char** words) {
    const int trials = count > 1 ? std::atoi(words[1]) : 200;
    const auto first = static_cast<uint64_t>(count > 2 ? std::atoll(words[2]) : 1);
    for (const int pairs : {4, 8, 16}) {
        if (count > 3 && std::atoi(words[3]) != pairs) continue;
        studio::Tally tally;
        const auto begin = std::chrono::steady_clock::now();
        for (int i = 0; i < trials; ++i)
            studio::try_once(first + static_cast<uint64_t>(i), pairs, tally);
        const std::chrono::duration<double> took = std::chrono::steady_clock::now() - begin;
        std::printf("%d pairs, %d trials from seed %d: told %d of %d, within two standard errors %.1f %%, "
                    "worst %.1f; "
                    "%.2f s a fit\n",
                    pairs, trials, static_cast<int>(first), tally.told, tally.numbers,
                    100.0 * tally.within / tally.told, tally.worst, took.count() / trials);
        const auto line = [&](const char* what, const std::vector<double>& parts) {
            std::printf("  %-34s median %.2f of the defaults' error, at most half in %.0f %%\n", what,
                        tally.median(parts), 100 * tally.at_most(parts, 0.5));
        };
        line("each pair left out:", tally.left_out);
        line("the studio's own manner, same pairs:", tally.uneven);
        line("what was meant, fresh moments:", tally.meant);
        std::printf("  all trials together: left out %.2f, the studio's own %.2f; without unevenness %.2f\n",
                    tally.pooled(), tally.pooled_uneven(), tally.pooled_without_unevenness());
        for (const auto& [name, each] : tally.by_name)
            std::printf("  %-16s told %3d, within %3d\n", name.c_str(), each.first, each.second);
    }
}
