// SPDX-License-Identifier: MIT
#include <gtest/gtest.h>

#include "figure/skeletons.h"

namespace {

using namespace aplomb_test;

const char* name_of(const Built& built, int32_t joint) {
    return joint < 0 ? "" : built.figure->joints[joint].name;
}

TEST(Limbs, OfABiped) {
    const double stature = 1.75;
    const Built built(make_biped(stature));
    ASSERT_EQ(built.status, APLOMB_OK) << built.error.message;
    ASSERT_EQ(built.figure->limb_count, 4);
    const aplomb::Limb& leg = built.figure->limbs[0];
    EXPECT_EQ(leg.kind, APLOMB_LEG);
    EXPECT_EQ(leg.side, APLOMB_SIDE_LEFT);
    EXPECT_STREQ(name_of(built, leg.upper), "left_thigh");
    EXPECT_STREQ(name_of(built, leg.toe), "left_toes");
    EXPECT_NEAR(leg.length, (0.53 - 0.039) * stature, 1e-12);
    const aplomb::Limb& arm = built.figure->limbs[3];
    EXPECT_EQ(arm.kind, APLOMB_ARM);
    EXPECT_EQ(arm.side, APLOMB_SIDE_RIGHT);
    EXPECT_EQ(arm.toe, -1);
}

TEST(Limbs, WithoutAnEndAreLeftOut) {
    Skeleton s;
    const int32_t hips = s.add("hips", -1, 0, 1, 0);
    s.add("spine", hips, 0, 1.3, 0);
    for (const char* mark : {"left", "right"}) {
        const double x = mark[0] == 'l' ? 0.1 : -0.1;
        const int32_t thigh = s.add(std::string(mark) + "_thigh", hips, x, 1, 0);
        const int32_t knee = s.add(std::string(mark) + "_knee", thigh, x, 0.5, 0);
        if (x > 0) s.add("left_foot", knee, x, 0, 0);
    }
    const Built built(s);
    ASSERT_EQ(built.status, APLOMB_OK) << built.error.message;
    EXPECT_EQ(built.figure->limb_count, 1);
    EXPECT_NE(built.remarks().find("'right_thigh'"), std::string::npos) << built.remarks();
}

/// A trunk lying level on `pairs` pairs of legs.
Skeleton make_crawler(int pairs, bool rider) {
    Skeleton s;
    int32_t trunk = s.add("", -1, 0, 1, 0);
    for (int i = 0; i < pairs; ++i) {
        const double z = 0.6 * i;
        if (i > 0) trunk = s.add("", trunk, 0, 1, z);
        for (const double side : {0.2, -0.2}) {
            const int32_t upper = s.add("", trunk, side, 0.95, z);
            const int32_t lower = s.add("", upper, side, 0.5, z + 0.02);
            s.add("", lower, side, 0.02, z);
        }
    }
    if (rider) {
        trunk = s.add("", trunk, 0, 1.5, 0.6 * (pairs - 1) + 0.1);
        for (const double side : {0.2, -0.2}) {
            const int32_t upper = s.add("", trunk, side, 1.5, 0.7);
            const int32_t lower = s.add("", upper, 2.5 * side, 1.5, 0.7);
            s.add("", lower, 4 * side, 1.5, 0.7);
        }
    }
    const double z = 0.6 * (pairs - 1) + 0.1;
    const int32_t neck = s.add("", trunk, 0, rider ? 1.6 : 1.2, z + 0.1);
    s.set_tip(s.add("", neck, 0, rider ? 1.75 : 1.35, z + 0.2), 0, 0.1, 0.05);
    return s;
}

int count_kind(const Built& built, aplomb_limb_kind kind) {
    int n = 0;
    for (int32_t i = 0; i < built.figure->limb_count; ++i)
        n += built.figure->limbs[i].kind == kind;
    return n;
}

TEST(Limbs, OfManyLeggedFigures) {
    const Built four(make_crawler(2, false)), six(make_crawler(3, false)), centaur(make_crawler(2, true));
    for (const Built* built : {&four, &six, &centaur}) {
        ASSERT_EQ(built->status, APLOMB_OK) << built->error.message;
        EXPECT_EQ(count_kind(*built, APLOMB_LEG), 2);
        EXPECT_EQ(built->figure->hips, 0);
    }
    EXPECT_EQ(count_kind(four, APLOMB_FORE_LEG), 2);
    EXPECT_EQ(count_kind(six, APLOMB_FORE_LEG), 4);
    EXPECT_EQ(count_kind(centaur, APLOMB_FORE_LEG), 2);
    EXPECT_EQ(count_kind(centaur, APLOMB_ARM), 2);
}

TEST(Limbs, ArmsThatReachTheGroundUnderAnUprightTrunkStayArms) {
    Skeleton s = make_biped(1.75);
    for (const char* name : {"left_forearm", "right_forearm", "left_hand", "right_hand"})
        s.translations[3 * static_cast<size_t>(s.find(name)) + 1] = -0.7;
    const Built built(s);
    ASSERT_EQ(built.status, APLOMB_OK) << built.error.message;
    EXPECT_EQ(count_kind(built, APLOMB_ARM), 2);
}

TEST(ReferenceLimbs, FoxStandsOnForeLegs) {
    Skeleton s;
    if (!read_reference("figures/fox.glb", s)) GTEST_SKIP() << "fox.glb is missing";
    s.metres_per_unit = 0.01;
    const Built built(s);
    ASSERT_EQ(built.status, APLOMB_OK) << built.error.message;
    ASSERT_EQ(built.figure->limb_count, 4);
    EXPECT_EQ(count_kind(built, APLOMB_FORE_LEG), 2);
    EXPECT_STREQ(name_of(built, built.figure->limbs[0].end), "b_LeftFoot01_017");
    EXPECT_STREQ(name_of(built, built.figure->limbs[0].toe), "b_LeftFoot02_018");
}

TEST(ReferenceLimbs, LongestToe) {
    Skeleton s;
    if (!read_reference("figures/human_male.glb", s)) GTEST_SKIP() << "human_male.glb is missing";
    const Built built(s);
    ASSERT_EQ(built.status, APLOMB_OK) << built.error.message;
    ASSERT_EQ(built.figure->limb_count, 4);
    EXPECT_STREQ(name_of(built, built.figure->limbs[0].toe), "toe2-1.L");
    EXPECT_STREQ(name_of(built, built.figure->limbs[2].lower), "lowerarm01.L");
}

} // namespace
