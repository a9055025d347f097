// SPDX-License-Identifier: MIT
// The front of the body from its skin: prisms whose front is known; what is no trunk does not count; a load is drawn in no
// nearer than the belly lets it.
#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "balance/moment.h"
#include "capi/handles.h"
#include "skin.h"

namespace {

using lay::LayFigure;
using lay::Point;

/// A grown man in a tunic with a square section, so far ahead of the trunk's axis and as far behind it.
struct InTunic {
    LayFigure shape = LayFigure::adult();
    Skin skin;

    int32_t joint(const char* name) const { return shape.find(name); }
    /// A box around a joint's axis from `bottom` to `top`.
    void add_box(const char* owner, double bottom, double top, double half_breadth, double ahead) {
        const int32_t j = joint(owner);
        const Point axis = shape.position(j);
        int32_t corner[8];
        for (int k = 0; k < 8; ++k)
            corner[k] = skin.add({axis.x + (k & 1 ? half_breadth : -half_breadth), k & 2 ? top : bottom,
                                  axis.z + (k & 4 ? ahead : -ahead)},
                                 j);
        const int side[6][4] = {{0, 4, 6, 2}, {1, 3, 7, 5}, {0, 1, 5, 4},
                                {2, 6, 7, 3}, {0, 2, 3, 1}, {4, 5, 7, 6}};
        for (const auto& s : side) {
            skin.add_triangle(corner[s[0]], corner[s[1]], corner[s[2]]);
            skin.add_triangle(corner[s[0]], corner[s[2]], corner[s[3]]);
        }
    }
    void add_trunk(double ahead) {
        add_box("hips", shape.position(joint("hips")).y - .1, shape.position(joint("left_upper_arm")).y + .05,
                .18, ahead);
    }
    lay::FigureHandle create() {
        const aplomb_skin view = skin.view();
        aplomb_figure_desc desc = shape.desc();
        desc.skin = &view;
        return LayFigure::create_figure(desc);
    }
};

TEST(MeshFront, ATunicIsAsFarAheadAsItIs) {
    InTunic a;
    a.add_trunk(.16);
    a.add_box("left_thigh", .7, .8, .07, .08);
    const lay::FigureHandle figure = a.create();
    ASSERT_TRUE(figure->front.known);
    for (int32_t i = 0; i < figure->limb_count; ++i) {
        const aplomb::Limb& limb = figure->limbs[i];
        const bool dressed = limb.kind == APLOMB_LEG && limb.side == APLOMB_SIDE_LEFT;
        EXPECT_NEAR(limb.outside, dressed ? .07 : 0, .01);
        EXPECT_NEAR(limb.front, dressed ? .08 : 0, .01); // the neutral turns the thigh to plumb
    }
    for (const double ahead : figure->front.ahead)
        EXPECT_NEAR(ahead, .16, .012); // the lay figure's spine is bent by a centimetre
}

TEST(MeshFront, ASkirtThatTheHipsCarryIsOutsideOfTheLegs) {
    InTunic a;
    a.add_trunk(.16);
    a.add_box("hips", .6, .9, .3, .16);
    const lay::FigureHandle figure = a.create();
    for (int32_t i = 0; i < figure->limb_count; ++i) {
        const aplomb::Limb& limb = figure->limbs[i];
        if (limb.kind != APLOMB_LEG) continue;
        const double hip = std::fabs(figure->joints[limb.upper].neutral_position.x);
        EXPECT_NEAR(limb.outside, .3 - hip, .01);
        EXPECT_EQ(limb.front, 0);
    }
}

TEST(MeshFront, WhatIsNoTrunkDoesNotCount) {
    InTunic a;
    a.add_trunk(.16);
    a.add_box("left_lower_arm", 0, 2, .05, .6);
    a.add_box("head", 0, 2, .05, .6);
    const lay::FigureHandle figure = a.create();
    ASSERT_TRUE(figure->front.known);
    for (const double ahead : figure->front.ahead)
        EXPECT_LT(ahead, .18);
}

TEST(MeshFront, AHalfOfATrunkIsNoneAndNeitherAreHandsAlone) {
    InTunic half, hands;
    half.add_box("hips", .9, 1.0, .18, .16);
    EXPECT_FALSE(half.create()->front.known);
    hands.add_box("left_hand", .6, 1.6, .05, .3);
    EXPECT_FALSE(hands.create()->front.known);
}

TEST(MeshFront, ALoadIsDrawnInNoNearerThanTheBelly) {
    const auto drawn_in = [](double belly) {
        InTunic a;
        a.add_trunk(belly);
        own::Character c(LayFigure::adult());
        c.figure = a.create();
        c.bones = own::Bones(c.figure.get());
        c.solver = own::make_solver(c.figure.get());
        lay::Pose pose(c.figure.get(), c.shape);
        pose.soft_knees(8).both("upper_arm", -30).both("lower_arm", -55);
        own::Moment m(pose);
        m.loads = {aplomb_load_make(.8 * c.bones.body_mass(), c.find("left_hand"))};
        m.loads[0].holder[1] = c.find("right_hand");
        m.loads[0].offset[2] = .1;
        const own::Answer answer = own::balance(c, m);
        EXPECT_GE(answer.status, 0) << answer.error.message;
        return answer.result.drawn_in;
    };
    EXPECT_GT(drawn_in(.10), drawn_in(.24) + .02);
}

TEST(MeshFront, ABucketKeepsOffAWideLeg) {
    // An arm that is keyed out to the side goes to plumb, as far as the leg lets it.
    const auto place = [](double half_breadth) {
        InTunic a;
        a.add_trunk(.16);
        for (const char* thigh : {"left_thigh", "right_thigh"})
            a.add_box(thigh, .55, .8, half_breadth, .08);
        own::Character c(LayFigure::adult());
        c.figure = a.create();
        c.bones = own::Bones(c.figure.get());
        c.solver = own::make_solver(c.figure.get());
        lay::Pose pose(c.figure.get(), c.shape);
        pose.soft_knees(8).both("upper_arm", 0, 0, 25);
        own::Moment m(pose);
        m.loads = {aplomb_load_make(.5 * c.bones.body_mass(), c.find("right_hand"))};
        m.loads[0].hanging = 1, m.loads[0].hang = .3;
        const own::Answer answer = own::balance(c, m);
        EXPECT_GE(answer.status, 0) << answer.error.message;
        const auto at = [&](const char* joint) {
            return answer.world.place[static_cast<size_t>(c.find(joint))];
        };
        return at("right_thigh").x() - at("right_hand").x();
    };
    EXPECT_GT(place(.14), place(.05) + .03);
}

} // namespace
