// SPDX-License-Identifier: MIT
// The solver of clips finds one answer: from other starts it comes to the same cost, and nothing near the answer costs
// less.
#include "clip/correct/asking.h"
#include "clip/correct/interior.h"
#include "pose/options.h"
#include "room.h"
#include "walk.h"

#include <cmath>
#include <cstddef>
#include <cstdio>
#include <random>
#include <vector>

namespace {

using namespace aplomb;

struct Goes final : Ticker {
    bool goes_on() override { return true; }
};

using room::room_of;

/// Half a step and what is around it, of one walk.
class Starts : public testing::TestWithParam<double> {};

} // namespace

TEST_P(Starts, ComeToOneAnswer) {
    const lay::LayFigure plan = lay::LayFigure::adult();
    lay::LayFigure shape = plan;
    const lay::FigureHandle figure = shape.create();
    walk::Plan walked;
    walked.frames = GetParam();
    walked.steps = 2;
    const walk::Walk keyed = walk::make(figure.get(), shape, walked);
    aplomb_clip clip = keyed.clip();
    std::vector<aplomb_stance_range> stances;
    clip.frame_count = 20;
    for (auto range : keyed.stances) {
        range.last = std::min(range.last, clip.frame_count - 1);
        if (range.first <= range.last) stances.push_back(range);
    }
    clip.stances = stances.data(), clip.stance_count = static_cast<int32_t>(stances.size());
    const shot::Reading reading = shot::read(figure.get(), clip);

    Shot shot;
    shot.begin(*figure, clip);
    std::vector<double> times(20);
    shot.times = times.data();
    shot.fill_times();
    aplomb_clip_balance_options options = walk::usual();
    const aplomb_options usual = default_options();
    Asking asking(*figure, shot, options, usual);
    const auto asking_room = room_of([&](Layout& layout) { asking.lay_out(layout); });
    asking.set_up(*reading.handle);
    ASSERT_EQ(asking.find_motion(nullptr), APLOMB_OK);
    ASSERT_EQ(asking.find_needs(nullptr), APLOMB_OK);

    Range range;
    Interior interior;
    const auto range_room = room_of([&](Layout& layout) {
        range.lay_out(layout, *figure, 20, false, false, {});
        interior.lay_out(layout, *figure, range, false);
    });
    Goes goes;
    std::mt19937 random(11);
    std::uniform_real_distribution<double> number(-1, 1);
    std::vector<double> aside(
        static_cast<std::size_t>(range.variables())); // of all frames, not of each its own
    for (double& v : aside)
        v = number(random);
    double first = 0;
    for (int start = 0; start < 4; ++start) {
        ASSERT_EQ(asking.bring({0, 19}, usual, range, nullptr), APLOMB_OK);
        for (int t = 0; t < 20; ++t)
            for (int i = 0; i < range[t].problem->size(); ++i) {
                double& y = range[t].at.y[i];
                if (start == 1) y = 0;
                if (start == 2) y += aside[static_cast<std::size_t>(i)];
                if (start == 3) y = -y + (i % 3 == 0 ? .5 : -.5);
            }
        const Proof proof = interior.run(range, 1e-8, 300, {1, 0.1}, goes);
        ASSERT_TRUE(proof.converged) << start << " " << proof.stationarity;
        range.evaluate();
        if (start == 0) first = range.cost();
        EXPECT_NEAR(range.cost(), first, 1e-6 * first) << start;
        // The surer run finds it, too, from as far away.
        for (int t = 0; t < 20; ++t)
            for (int i = 0; i < range[t].problem->size(); ++i)
                range[t].at.y[i] += aside[static_cast<std::size_t>(i)] * (t % 2 == 0 ? 3 : -3);
        const Proof sure = interior.run_surely(range, 1e-4, 300, 1, goes);
        EXPECT_TRUE(sure.converged) << start << " " << sure.stationarity;
        range.evaluate();
        EXPECT_NEAR(range.cost(), first, 1e-4 * first) << start;
        ASSERT_EQ(asking.bring({0, 19}, usual, range, nullptr), APLOMB_OK);
        const Proof again = interior.run(range, 1e-8, 300, {1, 0.1}, goes);
        ASSERT_TRUE(again.converged);
    }
    std::printf("%.0f frames a step: four starts cost %.6f\n", GetParam(), first);

    // What keeps to all limits and is near costs more.
    std::vector<std::vector<double>> answer;
    for (int t = 0; t < 20; ++t)
        answer.emplace_back(range[t].at.y, range[t].at.y + range[t].problem->size());
    int compared = 0;
    for (int k = 0; k < 4000; ++k) {
        const double size = std::pow(10, -1 - 3 * (k % 100) / 100.);
        const int from = k % 20, wide = 1 + k % 5;
        bool kept = true;
        for (int t = 0; t < 20; ++t) {
            const std::vector<double>& y = answer[static_cast<std::size_t>(t)];
            for (std::size_t i = 0; i < y.size(); ++i)
                range[t].at.y[i] = y[i] + (std::abs(t - from) < wide ? size * number(random) : 0);
        }
        range.evaluate();
        for (int t = 0; t < 20; ++t)
            kept = kept && range[t].problem->hard_violation(range[t].at) <= 1e-12;
        if (!kept) continue;
        ++compared;
        EXPECT_GE(range.cost(), first * (1 - 1e-9)) << k;
    }
    EXPECT_GT(compared, 500);
}

INSTANTIATE_TEST_SUITE_P(Walks, Starts, testing::Values(10., 14., 24.));
