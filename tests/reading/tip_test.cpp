// SPDX-License-Identifier: MIT
#include "reading/tip.h"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

namespace {

using namespace aplomb;

Area hull_of(std::vector<Vec2> points) {
    return convex_hull(points.data(), static_cast<int>(points.size()));
}

Ground level_ground(const Vec3& gravity = {0, -9.80665, 0}) {
    return make_ground({0, 0, 0}, {0, 1, 0}, gravity, {}, {});
}

// A block of 40 by 60 cm, 2 m high: it tips over its nearer edge when its middle is over it.
TEST(Tip, Block) {
    const Area area = hull_of({{-.2, -.3}, {.2, -.3}, {.2, .3}, {-.2, .3}});
    const Ground ground = level_ground();
    const Tip tip = find_tip(ground, area, {.05, 0}, {0, 1, .05}, 10);
    EXPECT_NEAR(tip.margin, .15, 1e-12);
    EXPECT_NEAR(tip.outwards.fore, 1, 1e-12);
    EXPECT_NEAR(tip.angle, std::atan2(.15, 1), 1e-12);
    EXPECT_NEAR(tip.energy, 10 * 9.80665 * (std::sqrt(1 + .15 * .15) - 1), 1e-9);
    EXPECT_NEAR(std::fabs(tip.from.left - tip.to.left), .6, 1e-12);
}

TEST(Tip, PastTheEdgeCostsNothing) {
    const Area area = hull_of({{-.2, -.3}, {.2, -.3}, {.2, .3}, {-.2, .3}});
    const Tip tip = find_tip(level_ground(), area, {.3, 0}, {0, 1, .3}, 10);
    EXPECT_NEAR(tip.margin, -.1, 1e-12);
    EXPECT_NEAR(tip.angle, -std::atan2(.1, 1), 1e-12);
    EXPECT_EQ(tip.energy, 0);
}

// On a slope of 10 degrees a column's angle to tipping is 10 degrees less down the slope.
TEST(Tip, AgainstTrueGravity) {
    const double slope = 10 * degree;
    const Ground ground = level_ground({0, -9.80665 * std::cos(slope), 9.80665 * std::sin(slope)});
    const Area area = hull_of({{-.3, -.3}, {.3, -.3}, {.3, .3}, {-.3, .3}});
    const Vec3 centre = {0, 1, 0};
    const Tip tip = find_tip(ground, area, ground.project(centre), centre, 1);
    EXPECT_NEAR(ground.project(centre).fore, std::tan(slope), 1e-12);
    EXPECT_NEAR(tip.angle, std::atan2(.3, 1) - slope, 1e-12);
    const double rise = std::sqrt(1.09) * (1 - std::cos(tip.angle));
    EXPECT_NEAR(tip.energy, 9.80665 * rise, 1e-9);
}

TEST(Tip, LineTipsAcrossOrOverItsEnd) {
    const Area line = hull_of({{0, 0}, {.4, 0}});
    const Tip across = find_tip(level_ground(), line, {.2, .01}, {.01, 1, .2}, 1);
    EXPECT_NEAR(across.margin, -.01, 1e-12);
    EXPECT_NEAR(across.outwards.left, 1, 1e-12);
    const Tip end = find_tip(level_ground(), line, {.5, 0}, {0, 1, .5}, 1);
    EXPECT_NEAR(end.outwards.fore, 1, 1e-12);
    EXPECT_NEAR(end.from.fore, .4, 1e-12);
    EXPECT_NEAR(end.to.fore, .4, 1e-12);
    EXPECT_NEAR(end.angle, -std::atan2(.1, 1), 1e-12);
}

} // namespace
