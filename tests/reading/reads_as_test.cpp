// SPDX-License-Identifier: MIT
#include "reading/reads_as.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <random>
#include <vector>

namespace {

using namespace aplomb;

constexpr double infinite = std::numeric_limits<double>::infinity();

Area hull_of(std::vector<Vec2> points) {
    return convex_hull(points.data(), static_cast<int>(points.size()));
}

Vec2 with(const Bearer& b, double m) {
    return (b.point * b.mass + b.load_point * m) * (1 / (b.mass + m));
}

// OpenStax College Physics, chapter 9: 26.0 kg at 1.60 m is held in balance by 32.0 kg at 1.30 m.
TEST(ReadsAs, OpenStaxSeeSaw) {
    const Bearer child = {{-1.60, 0}, 26.0, {1.30, 0}};
    EXPECT_NEAR(mass_towards(child, {0, 0}, {0, infinite}), 32.0, 1e-9);
}

// The same with a board of 12.0 kg, its centre .160 m on the lighter side: 1.36 m.
TEST(ReadsAs, OpenStaxSeeSawWithItsBoard) {
    const Bearer both = {{-(26.0 * 1.60 + 12.0 * .160) / 38.0, 0}, 38.0, {1.36, 0}};
    EXPECT_NEAR(mass_towards(both, {0, 0}, {0, infinite}), 32.0, 1e-9);
}

TEST(ReadsAs, RangeAgainstScan) {
    std::mt19937 random(6);
    std::uniform_real_distribution<double> place(-.3, .3);
    int empty = 0, bounded = 0;
    for (int round = 0; round < 300; ++round) {
        std::vector<Vec2> points;
        for (int i = 0; i < 6; ++i)
            points.push_back({.6 * place(random), .6 * place(random)});
        const Area area = hull_of(points);
        const Bearer bearer = {
            {.5 * place(random), .5 * place(random)}, 75, {2 * place(random), 2 * place(random)}};
        const MassRange range = masses_inside(bearer, area);
        empty += range.empty();
        bounded += range.highest < infinite && !range.empty();
        for (double m = 0; m < 2000; m = 1.02 * m + .02) {
            const double margin = margin_of(area, with(bearer, m));
            if (std::fabs(margin) < 1e-6) continue;
            EXPECT_EQ(margin > 0, m >= range.lowest && m <= range.highest)
                << "round " << round << ", " << m << " kg";
        }
    }
    EXPECT_GT(empty, 20);
    EXPECT_GT(bounded, 20);
}

TEST(ReadsAs, NearestMassAgainstScan) {
    std::mt19937 random(7);
    std::uniform_real_distribution<double> place(-.3, .3);
    for (int round = 0; round < 200; ++round) {
        const Bearer bearer = {{place(random), place(random)}, 60, {2 * place(random), 2 * place(random)}};
        const Vec2 target = {.2 * place(random), .2 * place(random)};
        const double mass = mass_towards(bearer, target, {0, infinite});
        double nearest = 1e300;
        for (double m = 0; m < 1e6; m = 1.001 * m + .001)
            nearest = std::min(nearest, norm(with(bearer, m) - target));
        const double found =
            std::isinf(mass) ? norm(bearer.load_point - target) : norm(with(bearer, mass) - target);
        EXPECT_LE(found, nearest + 1e-9) << "round " << round;
    }
}

TEST(ReadsAs, EmptyRangeIsNoMass) {
    const Area feet = hull_of({{-.1, -.1}, {.1, -.1}, {.1, .1}, {-.1, .1}});
    const MassRange none = masses_inside({{.3, 0}, 75, {.5, 0}}, feet);
    EXPECT_GT(none.lowest, none.highest);
    EXPECT_TRUE(std::isnan(mass_towards({{.3, 0}, 75, {.5, 0}}, {0, 0}, none)));
}

TEST(ReadsAs, OverTheFeetAnyMassStands) {
    const Area feet = hull_of({{-.1, -.1}, {.1, -.1}, {.1, .1}, {-.1, .1}});
    const MassRange any = masses_inside({{0, 0}, 75, {.05, 0}}, feet);
    EXPECT_EQ(any.lowest, 0);
    EXPECT_EQ(any.highest, infinite);
}

TEST(ReadsAs, SmallestMassOnATie) {
    EXPECT_EQ(mass_towards({{.1, 0}, 75, {.1, 0}}, {0, 0}, {3, infinite}), 3);
}

} // namespace
