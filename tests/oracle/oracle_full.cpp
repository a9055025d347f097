// SPDX-License-Identifier: MIT
// The slow full run: oracle_full [cases per figure] [first seed] [heft]. Lists every exception by figure and seed;
// returns 1 where the library falls short of what tests/README.md promises.
#include <cstdlib>

#include "oracle/judge.h"

int main(int argc, char** argv) {
    using namespace full_space;
    const int cases = argc > 1 ? std::atoi(argv[1]) : 100;
    const uint64_t first = argc > 2 ? std::strtoull(argv[2], nullptr, 10) : 1;
    const double heft = argc > 3 ? std::atof(argv[3]) : -1;
    constexpr int all_starts = 7;
    const Cast cast;
    Tally tally;
    for (size_t actor = 0; actor < cast.size(); ++actor) {
        const int before = tally.compared;
        for (int i = 0; i < cases; ++i)
            tally.add(cast, judge(cast, actor, first + static_cast<uint64_t>(i), all_starts, heft));
        std::printf("%-20s %d of %d compared\n", cast[actor].name.c_str(), tally.compared - before, cases);
        std::fflush(stdout);
    }
    tally.print();
    const auto part = [&](const std::vector<std::string>& some, int of) {
        return static_cast<double>(some.size()) / std::max(1, of);
    };
    const bool good = tally.wrong_cost.empty() && part(tally.infeasible, tally.compared) <= 0.002 &&
                      part(tally.off, tally.in_reach) <= 0.01 && tally.thorough_infeasible.empty() &&
                      part(tally.thorough_off, tally.in_reach) <= 0.001 && tally.wrongly_out.empty();
    std::puts(good ? "The library keeps its promise." : "The library falls SHORT of its promise.");
    return good ? 0 : 1;
}
