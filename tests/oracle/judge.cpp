// SPDX-License-Identifier: MIT
#include "oracle/judge.h"

#include <cmath>

namespace full_space {
namespace {

constexpr double feasible = 1e-7; // of the oracle's own answers
constexpr double held = 1e-6;     // metres of slack
constexpr double same_cost = 1.001;
constexpr double trunk_start = 12 * degree;

bool keeps(const Violation& v) {
    return v.ends <= feasible && v.limits <= feasible;
}

struct Trial {
    const Subject& subject;
    own::Moment moment;
    own::World keyed;

    own::Answer solve(bool thorough) const {
        own::Moment m = moment;
        m.options.thorough = thorough;
        own::Answer a;
        a.translations.resize(m.translations.size()), a.rotations.resize(m.rotations.size());
        aplomb_result_init(&a.result, sizeof a.result);
        const aplomb_situation s = m.situation();
        a.status = aplomb_balance(subject.solver.get(), &s, &m.options, a.translations.data(),
                                  a.rotations.data(), &a.result, &a.error);
        if (a.status >= 0) a.world = subject.bones.world(a.translations.data(), a.rotations.data());
        return a;
    }
    aplomb_reading read() const {
        aplomb_reading reading;
        aplomb_reading_init(&reading, sizeof reading);
        const aplomb_situation s = moment.situation();
        if (aplomb_read(subject.solver.get(), &s, &moment.options, &reading, nullptr) < 0)
            reading.edge_count = 0;
        return reading;
    }
};

Ours view(const FullProblem& problem, const own::Answer& answer) {
    const std::vector<double> v = problem.variables_of(answer.world);
    return {answer.status, problem.objective(v), answer.result.objective, problem.violation(v)};
}

std::vector<std::vector<double>> starts_of(const FullProblem& p, const std::vector<double>& ours, int count) {
    std::vector<std::vector<double>> all = {ours, p.keyed()};
    for (const Point& trunk : {Point{trunk_start, 0, 0}, Point{-trunk_start, 0, 0}, Point{0, 0, trunk_start},
                               Point{0, 0, -trunk_start}, Point{0, 0, 0}})
        all.push_back(p.start(trunk));
    all.resize(std::min(all.size(), static_cast<size_t>(count)));
    return all;
}

void search(const FullProblem& problem, const std::vector<std::vector<double>>& starts, Verdict& v) {
    v.best = std::numeric_limits<double>::infinity();
    for (const std::vector<double>& start : starts) {
        const Found found = run_ipopt(problem, start, {});
        ++v.runs, v.converged += found.converged;
        if (!keeps(found.violation)) continue;
        v.answered = true;
        if (found.objective < v.best) v.best = found.objective, v.slack = found.violation.support;
    }
}

} // namespace

Verdict judge(const Cast& cast, size_t actor, uint64_t seed, int starts, double heft) {
    const Subject& subject = *cast[actor].subject;
    Trial t{subject, oracle_moment(cast, actor, seed, heft), {}};
    t.keyed = subject.bones.world(t.moment.translations.data(), t.moment.rotations.data());
    Verdict v;
    v.actor = actor, v.seed = seed;
    const own::Inside inside(subject.figure, t.moment);
    const FullProblem problem(subject, t.moment, t.read(), inside);
    v.left_out = problem.left_out();
    if (!v.left_out.empty()) return v;
    const own::Answer ordinary = t.solve(false), thorough = t.solve(true);
    if (ordinary.status < 0 || thorough.status < 0)
        v.left_out = "refused";
    else if (!ordinary.result.changed)
        v.left_out = "in balance as keyed";
    else if (!problem.held_feet_stayed(t.keyed, ordinary.world) ||
             !problem.held_feet_stayed(t.keyed, thorough.world))
        v.left_out = "a held foot that gave way";
    else if (!problem.wrists_kept(ordinary.world) || !problem.wrists_kept(thorough.world))
        v.left_out = "a wrist that gave way";
    if (!v.left_out.empty()) return v;
    v.ordinary = view(problem, ordinary), v.thorough = view(problem, thorough);
    search(problem, starts_of(problem, problem.variables_of(ordinary.world), starts), v);
    return v;
}

void Tally::add(const Cast& cast, const Verdict& v) {
    ++cases;
    if (!v.left_out.empty()) {
        ++left_out;
        for (auto& [why, count] : why_left_out)
            if (why == v.left_out) return void(++count);
        why_left_out.push_back({v.left_out, 1});
        return;
    }
    ++compared;
    const auto name = [&](const Ours& o) {
        char text[200];
        std::snprintf(
            text, sizeof text,
            "%s %llu (%s, cost %.6g, best %.6g, ends %.0e limits %.0e slack %.3e, the oracle's %.3e)",
            cast[v.actor].name.c_str(), static_cast<unsigned long long>(v.seed), aplomb_status_text(o.status),
            o.cost, v.best, o.violation.ends, o.violation.limits, o.violation.support, v.slack);
        return std::string(text);
    };
    const Ours &o = v.ordinary, &t = v.thorough;
    if (std::fabs(o.cost - o.reported) > 1e-6 * (1 + o.cost)) wrong_cost.push_back(name(o));
    if (o.violation.ends > 1e-6 || o.violation.limits > 1e-6) infeasible.push_back(name(o));
    if (!v.answered) {
        if (o.feasible()) oracle_lost.push_back(name(o)); // ours answers what the oracle does not
        return;
    }
    const bool out = v.slack > held;
    ++(out ? out_of_reach : in_reach);
    if (o.status == APLOMB_OUT_OF_REACH && !out) wrongly_out.push_back(name(o));
    if (o.violation.support > held && o.status != APLOMB_OUT_OF_REACH) infeasible.push_back(name(o));
    if (o.feasible() && v.ratio(o) > same_cost) off.push_back(name(o));
    if (!t.feasible()) thorough_infeasible.push_back(name(t));
    if (t.feasible() && v.ratio(t) > same_cost) thorough_off.push_back(name(t));
}

void Tally::print() const {
    std::printf("oracle: %d cases, %d left out, %d compared: %d in reach, %d out of reach\n", cases, left_out,
                compared, in_reach, out_of_reach);
    for (const auto& [why, count] : why_left_out)
        std::printf("  left out %d: %s\n", count, why.c_str());
    const auto list = [](const char* what, const std::vector<std::string>& all) {
        std::printf("  %s: %zu\n", what, all.size());
        for (const std::string& one : all)
            std::printf("    %s\n", one.c_str());
    };
    list("cost is not what the formula gives", wrong_cost);
    list("past a limit, or short of the margin unsaid", infeasible);
    list("out of reach where the oracle reaches", wrongly_out);
    list("answered where the oracle finds nothing", oracle_lost);
    list("cost off by more than 0.1 %", off);
    list("thorough: infeasible", thorough_infeasible);
    list("thorough: cost off by more than 0.1 %", thorough_off);
}

} // namespace full_space
