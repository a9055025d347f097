// SPDX-License-Identifier: MIT
// The banded factor against a dense one, open and closed to a ring, and the filter against its definition.
#include "clip/correct/band.h"
#include "clip/correct/filter.h"
#include "room.h"

#include <Eigen/Cholesky>
#include <Eigen/Core>
#include <gtest/gtest.h>

#include <random>
#include <vector>

namespace {

using room::room_of;

} // namespace

TEST(Band, SolvesAsADenseMatrix) {
    std::mt19937 random(7);
    std::uniform_real_distribution<double> number(-1, 1);
    for (const bool ring : {false, true})
        for (const int frames : {3, 4, 5, 6, 12, 16, 17, 23})
            for (const int size : {1, 2, 5}) {
                aplomb::Band band;
                const auto memory =
                    room_of([&](aplomb::Layout& l) { band.lay_out(l, frames, size, ring, {}); });
                for (int t = 0; t < frames; ++t)
                    band.clear(t);
                const int all = frames * size;
                Eigen::MatrixXd dense = Eigen::MatrixXd::Zero(all, all);
                for (int row = 0; row < frames; ++row)
                    for (int column = 0; column <= row; ++column) {
                        const int apart = row - column, around = frames - apart;
                        if (apart > 2 && !(ring && around <= 2)) continue;
                        const aplomb::Band::Block block = band.block(row, column);
                        for (int i = 0; i < size; ++i)
                            for (int j = 0; j < size; ++j) {
                                if (row == column && j > i) continue;
                                const double value =
                                    number(random) + (row == column && i == j ? 8. * size : 0);
                                block(i, j) += value;
                                dense(row * size + i, column * size + j) = value;
                                dense(column * size + j, row * size + i) = value;
                            }
                    }
                ASSERT_TRUE(band.factor()) << frames << " " << size;
                Eigen::VectorXd right(all);
                for (int i = 0; i < all; ++i)
                    right(i) = number(random);
                Eigen::VectorXd x = right;
                band.solve(x.data());
                EXPECT_LE((dense * x - right).norm(), 1e-12 * right.norm())
                    << ring << " " << frames << " " << size;
            }
}

TEST(Band, WhatIsNotPositiveDefiniteIsTold) {
    aplomb::Band band;
    const auto memory = room_of([&](aplomb::Layout& l) { band.lay_out(l, 4, 1, false, {}); });
    for (int t = 0; t < 4; ++t)
        band.clear(t);
    for (int t = 0; t < 4; ++t)
        band.block(t, t)(0, 0) = 1;
    band.block(2, 1)(0, 0) = 2;
    EXPECT_FALSE(band.factor());
}

/// w d - s D^2 d = w r in every frame that has two neighbours; a need that does not change is its own answer.
TEST(Filter, KeepsToItsEquation) {
    const std::vector<double> gap = {.04, .04, .05, .03, .04, .04, .06, .04, .04};
    const int count = static_cast<int>(gap.size()) - 1;
    std::vector<aplomb::Swing> swing;
    for (int t = 0; t < count; ++t)
        swing.push_back({t == 4 ? 0. : 1 - .05 * t, .08 + .002 * t});
    for (const bool ring : {false, true}) {
        aplomb::Grid grid{count, ring, false, false, gap.data()};
        aplomb::Filter filter;
        const auto memory = room_of([&](aplomb::Layout& l) { filter.lay_out(l, count, ring); });
        filter.set_up(grid, swing.data());
        std::vector<double> need = {0, 0, 1, 1, .5, -1, 0, .2}, d = need;
        filter.run(d.data(), 1);
        for (int t = 0; t < count; ++t) {
            if (!grid.has_second(t)) continue;
            const aplomb::Grid::Second s = grid.second(t);
            const auto at = [&](int f) { return d[static_cast<std::size_t>(f)]; };
            const double second = s.before * at(grid.before(t)) + s.own * at(t) + s.after * at(grid.after(t));
            const aplomb::Swing& own = swing[static_cast<std::size_t>(t)];
            EXPECT_NEAR(own.pressing * at(t) - own.square * second,
                        own.pressing * need[static_cast<std::size_t>(t)], 1e-12);
        }
        std::vector<double> same(need.size(), .3);
        filter.run(same.data(), 1);
        for (const double value : same)
            EXPECT_NEAR(value, .3, 1e-13);
    }
}
