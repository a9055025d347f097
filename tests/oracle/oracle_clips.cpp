// SPDX-License-Identifier: MIT
// Is a clip's answer the best there is? Usage: oracle_clips [how many seeds] [first seed] [ceres]. IPOPT from three starts
// on clips of 20 frames; with `ceres` Ceres Solver on quasi-static ones of 200.
#include <cstdlib>
#include <string_view>

#include "oracle/clip_judge.h"

int main(int argc, char** argv) {
    using namespace clip_oracle;
    const uint64_t count = argc > 1 ? std::strtoull(argv[1], nullptr, 10) : 50;
    const uint64_t first = argc > 2 ? std::strtoull(argv[2], nullptr, 10) : 1;
    const bool by_ceres = argc > 3 && std::string_view(argv[3]) == "ceres";
    const own::Company company;
    int compared = 0, wrong = 0, dearer = 0, apart = 0, no_answer = 0, not_converged = 0;
    double worst = 0;
    for (uint64_t seed = first; seed < first + count; ++seed) {
        const Verdict v = by_ceres ? judge_by_ceres(company, seed) : judge_by_ipopt(company, seed, 3);
        const bool left_out = !v.left_out.empty();
        if (!left_out) {
            ++compared;
            not_converged += !v.converged, wrong += v.is_wrong(), no_answer += v.answers == 0;
            dearer += v.answers > 0 && v.is_dearer(), apart += v.answers > 1 && v.spread() > 1.001;
            if (v.answers > 0) worst = std::max(worst, v.ratio());
        }
        if (left_out || !v.converged || v.is_wrong() || v.is_dearer() || v.spread() > 1.001)
            std::printf("%s\n", v.text().c_str()), std::fflush(stdout);
    }
    std::printf(
        "clips: %lu seeds from %lu, %d compared, worst cost %.7f of the oracle's; dearer by 0.1 %%: %d, the "
        "oracle's own answers apart by that: %d, without an answer of the oracle: %d, not converged: %d, "
        "another cost than the formula's: %d\n",
        static_cast<unsigned long>(count), static_cast<unsigned long>(first), compared, worst, dearer, apart,
        no_answer, not_converged, wrong);
    return dearer == 0 && wrong == 0 && not_converged == 0 ? 0 : 1;
}
