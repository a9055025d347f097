// SPDX-License-Identifier: MIT
// Judges the library's answer to a clip by what general-purpose solvers make of the same problem.
#pragma once

#include "oracle/clip_solvers.h"

namespace clip_oracle {

struct Verdict {
    uint64_t seed = 0;
    std::string name, left_out; // why; empty: compared
    bool converged = false;     // ours
    double ours = 0, reported = 0, slack = 0, violation = 0;
    double off_targets = 0;       // what frames are asked for, from the library's; metres and radians
    int runs = 0, answers = 0;    // of the oracle: runs, and those that came to an end
    double best = 0, dearest = 0; // of its answers
    static constexpr double nothing = 1e-6;
    double ratio() const { return (ours + nothing) / (best + nothing); }
    double spread() const { return (dearest + nothing) / (best + nothing); }
    bool is_wrong() const { // the two do not state the same problem
        return off_targets > 1e-6 || std::fabs(ours - reported) > 1e-6 * (1 + reported) || violation > 1e-4;
    }
    bool is_dearer() const { return answers == 0 || ratio() > 1.001; }
    std::string text() const;
};

/// IPOPT from the keyed pose, from a random one, and from our answer, as many of them as `starts` says.
Verdict judge_by_ipopt(const own::Company& company, uint64_t seed, int starts);
/// Ceres on 200 frames, from the keyed pose.
Verdict judge_by_ceres(const own::Company& company, uint64_t seed);

} // namespace clip_oracle
