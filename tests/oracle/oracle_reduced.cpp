// SPDX-License-Identifier: MIT
// Is the answer the best there is? The reduced pose problem solved again by NLopt's SLSQP from many starts, on
// the corpus of random moments. Usage: oracle_reduced [how many seeds] [first seed] [heft]. Exceptions are listed by seed.
#include <cstdio>
#include <cstdlib>

#include "balance/corpus.h"
#include "oracle/slsqp.h"

namespace {

using aplomb::Reduction;

constexpr double held = 1e-6;        // metres or radians: the promise of an answer
constexpr double surely_held = 1e-7; // what is counted for the oracle
constexpr double trunk_bend = 18 * aplomb::degree;

using Seeds = std::vector<uint64_t>;

struct Tally {
    int judged = 0, judged_thorough = 0, out_of_reach = 0, by_price = 0, not_converged = 0, nothing_found = 0,
        better = 0;
    Seeds refused, dearer, dearer_thorough, missed, violated;
};

std::vector<std::vector<double>> starts(const own::Inside& inside, const double* ours) {
    const Reduction& r = inside.reduction();
    const size_t n = static_cast<size_t>(inside.size());
    std::vector<double> zero(n, 0.0), ready(n);
    inside.problem.start(ready.data());
    std::vector<std::vector<double>> list = {zero, ready};
    if (ours) list.emplace_back(ours, ours + n);
    for (const int axis : {0, 2}) {
        for (const double sign : {1.0, -1.0}) {
            std::vector<double> y = ready;
            for (int b = 0; b < r.block_count; ++b) {
                const int i = r.block_variable(b) + axis;
                if (r.sigma[i] > 0)
                    y[static_cast<size_t>(i)] = sign * trunk_bend / (r.block_count * r.sigma[i]);
            }
            list.push_back(y);
        }
    }
    std::vector<double> low = ready;
    low[2] -= 1.5; // hips, in parts of their stiffness
    list.push_back(low);
    return list;
}

/// Where the library left its answer, found again by its cost.
const aplomb::Evaluation* find_answer(const own::Inside& inside, double cost) {
    for (const aplomb::Evaluation& e : inside.solver->bench.evaluation) {
        if (inside.problem.cost(e) == cost) return &e;
    }
    return nullptr;
}

bool is_dearer(double ours, double best) {
    return (ours + 1e-6) / (best + 1e-6) > 1.001;
}

void run_case(const own::Company& company, uint64_t seed, double heft, Tally& t) {
    own::Case given = own::make_case(company, seed);
    given.moment.options.heft = heft >= 0 ? heft : seed % 3 == 0 ? 0 : 1;
    const own::Character& c = company[given.figure];
    const own::Inside inside(c, given.moment);
    const own::Answer answer = own::balance(c, inside.solver.get(), given.moment);
    if (answer.status < 0) return t.refused.push_back(seed);
    if (!answer.result.changed) return;
    if (answer.result.gave_way_count > 0)
        return; // what holds give is no part of the problem as it is set up here
    if (answer.status == APLOMB_NOT_CONVERGED) ++t.not_converged;
    const aplomb::Evaluation* at = find_answer(inside, answer.result.objective);
    const std::vector<double> ours =
        at ? std::vector<double>(at->y, at->y + inside.size()) : std::vector<double>();

    oracle::ReducedSpace space(inside);
    space.set_normals(inside.support.area.normal);
    oracle::Slsqp slsqp(space, surely_held);
    oracle::Found best;
    for (const auto& start : starts(inside, ours.empty() ? nullptr : ours.data())) {
        const oracle::Found found = slsqp.run(space.pick(start.data()), 1e-9, 1e-11, 300);
        if (found.cost < best.cost) best = found;
    }
    const bool feasible = best.cost < std::numeric_limits<double>::infinity();
    if (answer.result.violation > held) t.violated.push_back(seed);
    const bool in_reach = answer.result.slack <= held;
    if (!in_reach) ++t.out_of_reach;
    if (!feasible) {
        t.nothing_found += in_reach;
        return;
    }
    if (!in_reach) { // the oracle has no price to fall short at
        ++t.by_price;
        if (is_dearer(answer.result.objective, best.cost)) t.missed.push_back(seed);
        return;
    }
    if (answer.status == APLOMB_NOT_CONVERGED) return;
    ++t.judged;
    t.better += is_dearer(best.cost, answer.result.objective);
    if (is_dearer(answer.result.objective, best.cost)) {
        t.dearer.push_back(seed);
        std::printf("seed %lu: cost %.9g, the oracle's %.9g\n", static_cast<unsigned long>(seed),
                    answer.result.objective, best.cost);
    }
    own::Moment thorough = given.moment;
    thorough.options.thorough = 1;
    const own::Answer second = own::balance(c, thorough);
    if (second.status == APLOMB_NOT_CONVERGED) return;
    ++t.judged_thorough;
    if (second.result.slack > held || is_dearer(second.result.objective, best.cost))
        t.dearer_thorough.push_back(seed);
}

void print(const char* what, const Seeds& seeds) {
    std::printf("  %s: %zu", what, seeds.size());
    for (const uint64_t seed : seeds)
        std::printf(" %lu", static_cast<unsigned long>(seed));
    std::printf("\n");
}

} // namespace

int main(int argc, char** argv) {
    const uint64_t count = argc > 1 ? std::strtoull(argv[1], nullptr, 10) : 2000;
    const uint64_t first = argc > 2 ? std::strtoull(argv[2], nullptr, 10) : 1;
    const double heft =
        argc > 3 ? std::strtod(argv[3], nullptr) : -1; // below 0: none in every third case, else all
    const own::Company company;
    Tally t;
    for (uint64_t seed = first; seed < first + count; ++seed)
        run_case(company, seed, heft, t);
    std::printf(
        "oracle: %lu seeds from %lu, %d judged on cost (%d thorough), %d out of reach (%d by the "
        "price: a dearer answer in reach exists), %d not converged; the oracle found nothing in %d and "
        "stayed dearer in %d\n",
        static_cast<unsigned long>(count), static_cast<unsigned long>(first), t.judged, t.judged_thorough,
        t.out_of_reach, t.by_price, t.not_converged, t.nothing_found, t.better);
    print("refused", t.refused);
    print("limits or reach violated", t.violated);
    print("said to be out of reach, but the oracle is there", t.missed);
    print("cost off by 0.1 %", t.dearer);
    print("the same, thorough", t.dearer_thorough);
    const auto few = [](const Seeds& seeds, int of) { return seeds.size() <= static_cast<size_t>(of / 100); };
    const bool enough = t.judged >= static_cast<int>(count / 3) && t.nothing_found * 10 <= t.judged;
    const bool passed = enough && t.refused.empty() && t.violated.empty() && t.missed.empty() &&
                        few(t.dearer, t.judged) && few(t.dearer_thorough, t.judged_thorough);
    std::puts(passed ? "passed" : "FAILED");
    return passed ? 0 : 1;
}
