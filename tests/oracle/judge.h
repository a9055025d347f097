// SPDX-License-Identifier: MIT
// The library's answer beside the best that IPOPT finds from many starts in the full space.
#pragma once

#include "oracle/cases.h"
#include "oracle/ipopt_run.h"

namespace full_space {

/// The library's answer, judged by the oracle's own formula.
struct Ours {
    aplomb_status status = APLOMB_OK;
    double cost = 0, reported = 0;
    Violation violation;
    bool feasible() const { return violation.ends <= 1e-6 && violation.limits <= 1e-6; }
};

struct Verdict {
    size_t actor = 0;
    uint64_t seed = 0;
    std::string left_out; // why there is nothing to compare
    Ours ordinary, thorough;
    bool answered = false; // the oracle found a pose that keeps to feet and limits
    double best = 0;       // least cost of a start of the oracle's or ours
    double slack = 0;      // metres, of the best
    int runs = 0, converged = 0;

    double ratio(const Ours& ours) const { return (ours.cost + 1e-6) / (std::min(best, ours.cost) + 1e-6); }
};

/// `starts`: how many of the list of starts the oracle tries; `heft` below 0: the case's own.
Verdict judge(const Cast& cast, size_t actor, uint64_t seed, int starts, double heft = -1);

/// What many verdicts come to.
struct Tally {
    int cases = 0, left_out = 0, compared = 0, in_reach = 0, out_of_reach = 0;
    std::vector<std::string> infeasible, off, thorough_infeasible, thorough_off; // by seed
    std::vector<std::string> wrongly_out, wrong_cost, oracle_lost;
    std::vector<std::pair<std::string, int>> why_left_out;

    void add(const Cast& cast, const Verdict& v);
    void print() const;
};

} // namespace full_space
