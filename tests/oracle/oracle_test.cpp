// SPDX-License-Identifier: MIT
// A sample of what oracle_full does, and checks of the oracle itself.
#include <gtest/gtest.h>

#include "oracle/judge.h"

namespace full_space {
namespace {

#ifdef NDEBUG
constexpr int cases_per_figure = 5, starts = 4;
#else
constexpr int cases_per_figure = 1, starts = 2; // unoptimised and under sanitizers: hardly more than a try
#endif
constexpr int fewest = 5 * cases_per_figure; // figures that need no file

/// One a line.
std::string listed(const std::vector<std::string>& all) {
    std::string text;
    for (const std::string& one : all)
        text.append("\n").append(one);
    return text;
}

const Tally& sample() {
    static const Tally filled = [] {
        Tally tally;
        const Cast cast;
        for (size_t actor = 0; actor < cast.size(); ++actor) {
            int compared = 0;
            for (uint64_t seed = 1; compared < cases_per_figure && seed < 40; ++seed) {
                const Verdict v = judge(cast, actor, seed, starts);
                compared += v.left_out.empty();
                tally.add(cast, v);
            }
            if (compared < cases_per_figure) ADD_FAILURE() << cast[actor].name << ": only " << compared;
        }
        tally.print();
        return tally;
    }();
    return filled;
}

TEST(Oracle, TheCostIsTheFormulas) {
    EXPECT_GE(sample().compared, fewest);
    EXPECT_EQ(listed(sample().wrong_cost), "");
}

TEST(Oracle, AnAnswerKeepsToLimitsFeetAndSupportWhereOneExists) {
    EXPECT_GE(sample().in_reach, fewest - 2);
    EXPECT_EQ(listed(sample().infeasible), "");
    EXPECT_EQ(listed(sample().thorough_infeasible), "");
}

TEST(Oracle, NoStartOfIpoptFindsABetterAnswer) {
    EXPECT_EQ(listed(sample().off), "");
    EXPECT_EQ(listed(sample().thorough_off), "");
}

TEST(Oracle, OutOfReachIsOutOfReachForIpoptToo) {
    EXPECT_EQ(listed(sample().wrongly_out), "");
}

/// The backward gradients against automatic differentiation of the same formula.
TEST(FullProblem, BackwardGradientsAreThoseOfTheJets) {
    using Jet = ceres::Jet<double, 1>;
    const Cast cast;
    int tried = 0;
    for (size_t trial = 0; trial < 6 * cast.size(); ++trial) {
        const size_t actor = trial % cast.size();
        const uint64_t seed = 3 + trial / cast.size();
        const Subject& subject = *cast[actor].subject;
        const own::Moment m = oracle_moment(cast, actor, seed, -1);
        aplomb_reading reading;
        aplomb_reading_init(&reading, sizeof reading);
        const aplomb_situation situation = m.situation();
        ASSERT_GE(aplomb_read(subject.solver.get(), &situation, &m.options, &reading, nullptr), 0);
        const own::Inside inside(subject.figure, m);
        const FullProblem p(subject, m, reading, inside);
        if (!p.left_out().empty()) continue;
        ++tried;
        own::Dice dice(trial + 1);
        std::vector<double> v = p.keyed(), out(v.size()), weight(static_cast<size_t>(p.residual_count())),
                            lambda(p.row_ranges().size());
        for (std::vector<double>* numbers : {&v, &weight, &lambda})
            for (double& number : *numbers)
                number += dice.within(1);
        p.pull_back(v.data(), weight.data(), lambda.data(), out.data());
        for (size_t i = 0; i < v.size(); ++i) {
            std::vector<Jet> x(v.begin(), v.end()), residual(weight.size()), row(lambda.size());
            x[i].v[0] = 1;
            p.evaluate(x.data(), residual.data(), row.data());
            double sum = 0;
            for (size_t k = 0; k < weight.size(); ++k)
                sum += weight[k] * residual[k].v[0];
            for (size_t k = 0; k < lambda.size(); ++k)
                sum += lambda[k] * row[k].v[0];
            EXPECT_NEAR(out[i], sum, 1e-9 * (1 + std::fabs(sum)))
                << cast[actor].name << ' ' << seed << ", variable " << i;
        }
    }
    EXPECT_GE(tried, 20);
}

} // namespace
} // namespace full_space
