// SPDX-License-Identifier: MIT
#include "oracle/clip_judge.h"

namespace clip_oracle {
namespace {

constexpr double asks =
    0.01; // a cost, such as a tenth of a sigma in all frames: below it nothing is to be seen
constexpr double held = 1e-6; // of the oracle's rows, in their units

/// The library's answer, and both problems with it.
struct Trial {
    Trial(const own::Company& company, uint64_t seed, const Case& of, Verdict& v)
        : solved(company[of.figure].figure.get(), of), problem(solved) {
        v.seed = seed, v.name = of.name;
        if (problem.straight) {
            v.left_out = "a leg keyed straight";
            return;
        }
        v.converged = solved.run().converged;
        solved.range.evaluate();
        v.reported = solved.range.cost();
        for (int t = 0; t < solved.count(); ++t)
            answer.insert(answer.end(), solved.range[t].at.y, solved.range[t].at.y + problem[t].size);
        const ClipProblem::Value value = problem.value(answer);
        v.ours = value.cost, v.slack = value.slack, v.violation = value.violation;
        if (v.ours < asks && v.reported < asks) v.left_out = "asks for nothing";
        v.off_targets = std::max(problem.off_aim, problem.off_middle);
    }
    void take(const Found& found, double most_slack, Verdict& v) const {
        ++v.runs;
        const ClipProblem::Value value = problem.value(found.y);
        if (!found.converged || value.violation > held || value.slack > most_slack) return;
        v.best = v.answers > 0 ? std::min(v.best, value.cost) : value.cost;
        v.dearest = std::max(v.dearest, value.cost);
        ++v.answers;
    }

    Solved solved;
    ClipProblem problem;
    std::vector<double> answer;
};

} // namespace

std::string Verdict::text() const {
    char line[300];
    std::snprintf(
        line, sizeof line,
        "%llu %s: %s%scost %.9g (said %.9g), the oracle's %.9g to %.9g in %d of %d runs, slack %.1e, "
        "rows %.0e, targets %.0e",
        static_cast<unsigned long long>(seed), name.c_str(), left_out.c_str(),
        converged ? "" : "NOT CONVERGED, ", ours, reported, best, dearest, answers, runs, slack, violation,
        off_targets);
    return line;
}

Verdict judge_by_ipopt(const own::Company& company, uint64_t seed, int starts) {
    Verdict v;
    const Case of = make_clip(company, seed);
    const Trial trial(company, seed, of, v);
    if (!v.left_out.empty()) return v;
    own::Dice dice(seed + 5);
    std::vector<std::vector<double>> from(2, std::vector<double>(trial.answer.size(), 0.0));
    for (double& y : from[1])
        y = dice.within(1);
    from.push_back(trial.answer);
    from.resize(std::min(from.size(), static_cast<size_t>(starts)));
    for (const std::vector<double>& start : from)
        trial.take(run_ipopt(trial.problem, start), INFINITY, v);
    return v;
}

Verdict judge_by_ceres(const own::Company& company, uint64_t seed) {
    Verdict v;
    const Case of = make_quasi_static(company, seed);
    const Trial trial(company, seed, of, v);
    if (v.slack > held) v.left_out = "out of reach";
    if (!v.left_out.empty()) return v;
    trial.take(run_ceres(trial.problem, std::vector<double>(trial.answer.size(), 0.0), held), 1e-7, v);
    return v;
}

} // namespace clip_oracle
