// SPDX-License-Identifier: MIT
// Shares of the trunk's bend: they follow the length, and cutting a joint in two changes nothing.
#include <cmath>
#include <vector>

#include <gtest/gtest.h>

#include "capi/handles.h"
#include "figures.h"

namespace {

using aplomb::Vec3;
using lay::LayFigure;

Vec3 sum_of(const aplomb::LeanJoint* joints, int32_t count) {
    Vec3 sum;
    for (int32_t i = 0; i < count; ++i)
        sum += joints[i].share;
    return sum;
}

void expect_vec(const Vec3& v, double x, double y, double z) {
    EXPECT_NEAR(v.x, x, 1e-12);
    EXPECT_NEAR(v.y, y, 1e-12);
    EXPECT_NEAR(v.z, z, 1e-12);
}

TEST(Trunk, SharesAndHipsSumToOne) {
    for (LayFigure f :
         {LayFigure::adult(), LayFigure::toddler(), LayFigure::detailed(), LayFigure::quadruped()}) {
        const auto figure = f.create();
        ASSERT_EQ(figure->spine_count, 3);
        expect_vec(sum_of(figure->spine, 3), .65, .80, .75);
        ASSERT_EQ(figure->neck_count, 1);
        expect_vec(figure->neck[0].share, 1, 1, 1);
    }
}

/// Bend (common practice): 30/20/15 % on the thirds of the spine.
TEST(Trunk, ThirdsTakeTheStatedParts) {
    LayFigure f = LayFigure::adult();
    // Spine joints at 0, 1/3 and 2/3 of the way from the first one to the neck.
    f.translations[3 * 2 + 1] = f.translations[3 * 3 + 1] = (0.83 - 0.57) * 1.75 / 3;
    f.translations[3 * 4 + 1] = (0.83 - 0.57) * 1.75 / 3;
    for (const char* girdle : {"left_girdle", "right_girdle"}) // shoulders below the neck
        f.translations[3 * static_cast<size_t>(f.find(girdle)) + 1] = 0.05;
    const auto figure = f.create();
    expect_vec(figure->spine[0].share, .30, .10, .30);
    expect_vec(figure->spine[1].share, .20, .30, .25);
    expect_vec(figure->spine[2].share, .15, .40, .20);
}

/// The adult with its second spine joint cut in two, the upper half `part` of the way to the next joint.
lay::FigureHandle cut(double part) {
    LayFigure f = LayFigure::adult();
    const std::vector<double> translations = f.translations;
    const auto insert = [](auto& values, long at, auto... more) {
        values.insert(values.begin() + at, {more...});
    };
    const double step = translations[3 * 3 + 1];
    f.names.insert(f.names.begin() + 3, "spine_2b");
    insert(f.parents, 3, 2);
    insert(f.roles, 3, static_cast<int32_t>(APLOMB_ROLE_SPINE));
    insert(f.sides, 3, static_cast<int32_t>(APLOMB_SIDE_MIDDLE));
    insert(f.translations, 9, 0.0, part * step, 0.0);
    insert(f.tips, 9, std::nan(""), std::nan(""), std::nan(""));
    for (size_t i = 4; i < f.parents.size(); ++i) {
        if (f.parents[i] >= 2) ++f.parents[i];
    }
    f.translations[3 * 4 + 1] = (1 - part) * step;
    return f.create();
}

TEST(Trunk, CuttingAJointInTwoChangesNothing) {
    const auto whole = LayFigure::adult().create();
    for (const double part : {0.0, 0.3, 0.5}) {
        const auto figure = cut(part);
        ASSERT_EQ(figure->spine_count, 4);
        const Vec3 both = figure->spine[1].share + figure->spine[2].share;
        const Vec3& one = whole->spine[1].share;
        expect_vec(both, one.x, one.y, one.z);
        const Vec3& above = whole->spine[2].share;
        expect_vec(figure->spine[3].share, above.x, above.y, above.z);
    }
}

TEST(Trunk, JointsAtOnePlaceShareEqually) {
    const auto figure = cut(0.0);
    const Vec3& a = figure->spine[1].share;
    const Vec3& b = figure->spine[2].share;
    expect_vec(a - b, 0, 0, 0);
    EXPECT_GT(a.x, 0);
}

TEST(Trunk, HeadServesAsNeck) {
    LayFigure f = LayFigure::adult();
    f.roles[4] = APLOMB_ROLE_HELPER; // the neck joint only rides along
    const auto figure = f.create();
    ASSERT_EQ(figure->neck_count, 1);
    EXPECT_EQ(figure->neck[0].joint, f.find("head"));
    expect_vec(figure->neck[0].share, 1, 1, 1);
}

TEST(Trunk, InfoGivesBendLeanTwist) {
    const auto figure = LayFigure::adult().create();
    aplomb_joint_info info;
    aplomb_joint_info_init(&info, sizeof info);
    ASSERT_EQ(aplomb_figure_joint(figure.get(), 1, &info, nullptr), APLOMB_OK);
    EXPECT_EQ(info.spine_share[0], figure->spine[0].share.x);
    EXPECT_EQ(info.spine_share[1], figure->spine[0].share.y);
    EXPECT_EQ(info.spine_share[2], figure->spine[0].share.z);
    ASSERT_EQ(aplomb_figure_joint(figure.get(), 0, &info, nullptr), APLOMB_OK);
    EXPECT_EQ(info.spine_share[0], 0);
}

} // namespace
