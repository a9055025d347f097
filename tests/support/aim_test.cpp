// SPDX-License-Identifier: MIT
// Support and aim of points and plain numbers, without a figure.
#include "support/aim.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace aplomb {
namespace {

constexpr double leg = 0.85, sole = 0.25;

/// A rectangle about the origin whose home is a line across its middle, and a margin of 2 cm.
Support rectangle(double half_length, double half_breadth, const Vec2& balance_point) {
    GroundPoints points;
    for (const double fore : {-half_length, half_length})
        for (const double left : {-half_breadth, half_breadth})
            points.point.data()[points.count++] = {fore, left};
    points.home.data()[0] = {0, -half_breadth}, points.home.data()[1] = {0, half_breadth};
    points.home_count = 2;
    return make_support(points, 0.02, balance_point);
}

Aim aim_of(const Support& support, const Vec2& upright, const Vec2& body, const Vec2& loaded, double load = 0,
           double heft = 0, const Travel& travel = {}) {
    return find_aim({support, upright, body, loaded, 1, 75, load, leg, sole, heft, travel});
}

TEST(Aim, InBalanceWithoutALoadIsWhereTheBodyIs) {
    const Vec2 at = {0.03, 0.01};
    const Support support = rectangle(0.12, 0.1, at);
    EXPECT_NEAR(support.margin, 0.09, 1e-12);
    const Aim aim = aim_of(support, at, at, at);
    EXPECT_NEAR(norm(aim.home - Vec2{0, 0.01}), 0, 1e-15);
    EXPECT_EQ(aim.phi, 0);
    EXPECT_EQ(norm(aim.rest_point - at), 0);
}

TEST(Aim, FarOutOfBalanceIsHome) {
    const Vec2 at = {0.3, 0};
    const Aim aim = aim_of(rectangle(0.12, 0.1, at), at, at, at);
    EXPECT_EQ(aim.phi, 1);
    EXPECT_NEAR(norm(aim.rest_point), 0, 1e-12);
}

/// On its way a body that leans ahead is not upright and need not be: hips go over the foot, not back under the trunk.
TEST(Aim, AlongTheTravelHipsAreAskedForNothing) {
    const Vec2 at = {0.1, 0.2}, upright = {0.05, 0.2};
    const Support support = rectangle(0.12, 0.1, at);
    const Aim still = aim_of(support, upright, at, at),
              moving = aim_of(support, upright, at, at, 0, 0, {{1, 0}, 1});
    EXPECT_LT(still.hips_way.fore, -0.01);
    EXPECT_NEAR(moving.hips_way.fore, 0, 1e-15);
    EXPECT_NEAR(moving.rest_point.fore, at.fore, 1e-15);
    EXPECT_LT(moving.hips_way.left, -0.05); // to the side the foot is what it was
    EXPECT_LT(std::fabs(aim_of(support, upright, at, at, 0, 0, {{1, 0}, 0.5}).hips_way.fore),
              std::fabs(still.hips_way.fore));
}

TEST(Aim, OfALoadIsTheNearestPointToHomeOnTheWayToIt) {
    const Vec2 body = {-0.05, 0}, loaded = {0.15, 0.04};
    const Aim aim = aim_of(rectangle(0.12, 0.1, loaded), body, body, loaded, 20);
    const Vec2 d = loaded - body;
    EXPECT_NEAR(cross(aim.q - body, d), 0, 1e-12);
    EXPECT_NEAR(dot(aim.home - aim.q, d), 0, 1e-12);
}

TEST(Aim, HeftLetsAPartOfALoadGo) {
    const Vec2 body = {0, 0}, loaded = {0.15, 0};
    const Support support = rectangle(0.12, 0.1, loaded);
    const double without = aim_of(support, body, body, loaded, 20, 0).rest_point.fore;
    const double with = aim_of(support, body, body, loaded, 20, 1).rest_point.fore;
    EXPECT_GT(with, without + 0.005);
    EXPECT_LT(with, 0.12 - support.margin_asked);
}

TEST(Aim, OnItsWayABodyNeedNotComeHome) {
    const Vec2 at = {0.3, 0};
    const Aim aim = aim_of(rectangle(0.12, 0.1, at), at, at, at, 0, 0, {{1, 0}, 1});
    EXPECT_NEAR(norm(aim.home - at), 0, 1e-12);
    EXPECT_NEAR(norm(aim.rest_point - at), 0, 1e-12);
}

TEST(Aim, WishedSharesMoveItBetweenTheContacts) {
    BearingPoints points;
    const Vec2 at[2] = {{0, -0.1}, {0, 0.1}};
    for (int i = 0; i < 2; ++i) {
        points.point[points.count++] = {at[i], 1};
        points.first[i + 1] = points.count;
    }
    const Support support = rectangle(0.12, 0.1, {});
    Aim aim = aim_of(support, {}, {}, {});
    const double none = std::numeric_limits<double>::quiet_NaN();
    const Wish nothing[2] = {{none, {at[0], at[0]}}, {none, {at[1], at[1]}}};
    heed_wishes(nothing, 2, points, support.area, leg, aim);
    EXPECT_EQ(norm(aim.rest_point), 0);
    const Wish wishes[2] = {{0.3, {at[0], at[0]}}, {none, {at[1], at[1]}}};
    heed_wishes(wishes, 2, points, support.area, leg, aim);
    EXPECT_NEAR(aim.home.left, 0.04, 1e-9); // .7 of the weight on the left
    EXPECT_NEAR(norm(aim.rest_point - aim.home), 0, 1e-12);
    EXPECT_NEAR(norm(aim.hips_way - aim.home), 0, 1e-12);
}

} // namespace
} // namespace aplomb
