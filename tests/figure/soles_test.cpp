// SPDX-License-Identifier: MIT
// Soles: from joints, from the stature, as given; and the point where a hand grips.
#include <gtest/gtest.h>

#include "capi/handles.h"
#include "figures.h"

namespace {

using namespace aplomb;
using lay::LayFigure;

const Limb& find_limb(const Figure& figure, aplomb_limb_kind kind, aplomb_side side) {
    for (int32_t i = 0; i < figure.limb_count; ++i) {
        if (figure.limbs[i].kind == kind && figure.limbs[i].side == side) return figure.limbs[i];
    }
    throw std::runtime_error("no such limb");
}

Vec3 in_neutral(const Figure& figure, int32_t joint, const Vec3& local) {
    return to_world({figure.joints[joint].neutral_position, figure.joints[joint].neutral}, local);
}

TEST(Soles, FromToeJointAndTip) {
    const auto figure = LayFigure::adult().create();
    const Limb& leg = find_limb(*figure, APLOMB_LEG, APLOMB_SIDE_LEFT);
    const double length = .152 * 1.75;
    EXPECT_NEAR(leg.sole.length, length, 1e-6);
    EXPECT_NEAR(leg.sole.breadth, .376 * length, 1e-6); // ANSUR II 2012
    EXPECT_NEAR(figure->sole_length, length, 1e-6);
    ASSERT_EQ(leg.sole.point_count, 8);
    int on_toe = 0;
    for (int i = 0; i < 8; ++i) {
        const Sole::Point& point = leg.sole.points[i];
        const Vec3 place = in_neutral(*figure, point.joint, point.position);
        EXPECT_NEAR(place.y, 0, 1e-9); // level, on the ground
        EXPECT_EQ(point.joint, point.ball ? leg.toe : leg.end);
        on_toe += point.ball;
    }
    EXPECT_EQ(on_toe, 5);
    const Vec3 heel = in_neutral(*figure, leg.end, leg.sole.heel),
               tip = in_neutral(*figure, leg.end, leg.sole.tip);
    EXPECT_NEAR(tip.z - heel.z, length, 1e-6);
    EXPECT_NEAR(figure->joints[leg.end].neutral_position.z - heel.z, .25 * length, 1e-6);
    EXPECT_NEAR(tip.x, heel.x, 1e-9);
    EXPECT_EQ(leg.sole.origin, APLOMB_ORIGIN_FROM_MEMORY);
}

/// The outline runs round: every corner turns the same way, seen from above.
TEST(Soles, OutlineIsConvex) {
    const auto figure = LayFigure::toddler().create();
    const Limb& leg = find_limb(*figure, APLOMB_LEG, APLOMB_SIDE_RIGHT);
    const int n = leg.sole.point_count;
    const auto at = [&](int i) {
        const Sole::Point& point = leg.sole.points[i % n];
        return in_neutral(*figure, point.joint, point.position);
    };
    const double first = cross(at(1) - at(0), at(2) - at(1)).y;
    for (int i = 0; i < n; ++i)
        EXPECT_GT(cross(at(i + 1) - at(i), at(i + 2) - at(i + 1)).y * first, 0);
}

/// Feet without toe joint or tip: foot length .152 of the stature (Drillis and Contini 1966).
TEST(Soles, FromTheStature) {
    LayFigure f = LayFigure::adult();
    for (const char* toe : {"left_toe", "right_toe"}) {
        const size_t i = static_cast<size_t>(f.find(toe));
        f.roles[i] = APLOMB_ROLE_PROP; // ends the foot at the ankle
        f.parents[i] = 0;
    }
    const auto figure = f.create();
    const Limb& leg = find_limb(*figure, APLOMB_LEG, APLOMB_SIDE_LEFT);
    EXPECT_EQ(leg.toe, -1);
    EXPECT_NEAR(leg.sole.length, .152 * figure->stature, 1e-3);
    bool ball = false;
    for (int i = 0; i < leg.sole.point_count; ++i) {
        EXPECT_EQ(leg.sole.points[i].joint, leg.end);
        ball = ball || leg.sole.points[i].ball;
    }
    EXPECT_TRUE(ball);
}

/// A foot of one joint whose segment ends at the toes' end, or at the ball.
TEST(Soles, FromALoneTip) {
    const double length = .152 * 1.75;
    for (const double part : {.75, .49}) {
        LayFigure f = LayFigure::adult();
        for (const char* foot : {"left_foot", "right_foot"}) {
            const size_t i = static_cast<size_t>(f.find(foot));
            f.roles[i + 1] = APLOMB_ROLE_PROP;
            f.parents[i + 1] = 0;
            f.tips[3 * i] = 0;
            f.tips[3 * i + 1] = -.04;
            f.tips[3 * i + 2] = part * length;
        }
        const auto figure = f.create();
        EXPECT_NEAR(find_limb(*figure, APLOMB_LEG, APLOMB_SIDE_LEFT).sole.length, length, 1e-6);
    }
}

TEST(Soles, PawsAreSmall) {
    const auto dog = LayFigure::quadruped().create();
    for (int32_t i = 0; i < dog->limb_count; ++i) {
        const Sole& sole = dog->limbs[i].sole;
        ASSERT_GT(sole.point_count, 2);
        EXPECT_GT(sole.length, 0.05);
        EXPECT_LT(sole.length, 0.12);
        // Under the toes, not under the hock.
        const int32_t end = dog->limbs[i].end;
        const Vec3 toe = dog->joints[end + 1].neutral_position;
        ASSERT_EQ(dog->joints[end + 1].role, APLOMB_ROLE_TOE);
        const Vec3 middle = in_neutral(*dog, end, (sole.heel + sole.tip) * 0.5);
        EXPECT_LT(std::fabs(middle.z - toe.z), 0.04);
    }
}

TEST(Soles, AsGiven) {
    LayFigure f = LayFigure::adult();
    // A big shoe: heel part on the foot, front part on the toe joint.
    const double heel[] = {-.06, -.09, -.12, .06, -.09, -.12};
    const double front[] = {-.08, -.045, .15, .08, -.045, .15, 0, -.045, .25};
    const aplomb_patch patches[] = {{f.find("left_foot"), 2, heel}, {f.find("left_toe"), 3, front}};
    aplomb_figure_desc desc = f.desc();
    desc.soles = patches;
    desc.sole_count = 2;
    const auto figure = LayFigure::create_figure(desc);
    const Limb& leg = find_limb(*figure, APLOMB_LEG, APLOMB_SIDE_LEFT);
    ASSERT_EQ(leg.sole.point_count, 5);
    EXPECT_EQ(leg.sole.origin, APLOMB_ORIGIN_GIVEN);
    EXPECT_FALSE(leg.sole.points[1].ball);
    EXPECT_TRUE(leg.sole.points[2].ball);
    EXPECT_NEAR(leg.sole.length, .12 + .49 * .152 * 1.75 + .25, 1e-9);
    EXPECT_NEAR(leg.sole.breadth, .16, 1e-9);
    EXPECT_NEAR(in_neutral(*figure, leg.end, leg.sole.tip).y, 0, 1e-9);
    EXPECT_NE(find_limb(*figure, APLOMB_LEG, APLOMB_SIDE_RIGHT).sole.origin, APLOMB_ORIGIN_GIVEN);
}

/// Third knuckle: .45 of the hand's length (de Leva 1996), .108 of the stature (Drillis and Contini 1966).
TEST(Soles, HandsGripAtTheThirdKnuckle) {
    for (LayFigure f : {LayFigure::adult(), LayFigure::detailed()}) {
        const auto figure = f.create();
        const Limb& arm = find_limb(*figure, APLOMB_ARM, APLOMB_SIDE_RIGHT);
        const Vec3 palm = in_neutral(*figure, arm.end, arm.palm) - figure->joints[arm.end].neutral_position;
        EXPECT_NEAR(norm(palm), .45 * .108 * figure->stature, 1e-9);
        EXPECT_LT(palm.y, -0.99 * norm(palm));
        EXPECT_EQ(norm(find_limb(*figure, APLOMB_LEG, APLOMB_SIDE_LEFT).palm), 0);
    }
}

} // namespace
