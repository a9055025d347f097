// SPDX-License-Identifier: MIT
// A foot suggested, never applied. Which loads ask for which step: common practice.
#include <gtest/gtest.h>

#include <cmath>
#include <cstring>
#include <string>
#include <vector>

#include "aplomb/foot.h"
#include "balance/moment.h"

namespace {

/// The adult on soft knees with one load.
struct Carry {
    lay::LayFigure shape = lay::LayFigure::adult();
    lay::FigureHandle figure = shape.create();
    lay::Pose pose{figure.get(), shape};
    own::SolverHandle solver = own::make_solver(figure.get());
    aplomb_load load{};
    aplomb_foot_suggestion told{};
    std::vector<double> translations, rotations;

    explicit Carry(double knees = 8) {
        pose.soft_knees(knees);
        translations = pose.translations, rotations = pose.rotations;
    }
    double mass() const {
        aplomb_figure_info info;
        aplomb_figure_info_init(&info, sizeof info);
        EXPECT_EQ(aplomb_figure_describe(figure.get(), &info, nullptr), APLOMB_OK);
        return info.total_mass;
    }
    Carry& box(double part, double forward = .38) { return on("spine_3", part, 0, -.2, forward); }
    Carry& on(const char* joint, double part, double left, double up, double forward) {
        load = aplomb_load_make(part * mass(), shape.find(joint));
        load.offset[0] = left, load.offset[1] = up, load.offset[2] = forward;
        return *this;
    }
    Carry& bucket(const char* hand, double part) {
        on(hand, part, 0, 0, 0);
        load.hanging = 1, load.hang = .3;
        return *this;
    }
    aplomb_situation situation() {
        aplomb_situation s;
        aplomb_situation_init(&s, sizeof s);
        s.translations = translations.data(), s.rotations = rotations.data();
        s.loads = &load, s.load_count = load.mass > 0 ? 1 : 0;
        return s;
    }
    /// Asks; the pose becomes the suggested one where one is.
    aplomb_status ask() {
        aplomb_foot_suggestion_init(&told, sizeof told);
        const aplomb_situation s = situation();
        return aplomb_suggest_foot(solver.get(), &s, nullptr, translations.data(), rotations.data(), &told,
                                   nullptr);
    }
    aplomb_limb_info limb() const {
        aplomb_limb_info info;
        aplomb_limb_info_init(&info, sizeof info);
        EXPECT_EQ(aplomb_figure_limb(figure.get(), told.limb, &info, nullptr), APLOMB_OK);
        return info;
    }
    aplomb_status balance(aplomb_result& result) {
        aplomb_result_init(&result, sizeof result);
        const aplomb_situation s = situation();
        std::vector<double> t = translations, r = rotations;
        return aplomb_balance(solver.get(), &s, nullptr, t.data(), r.data(), &result, nullptr);
    }
};

TEST(Foot, AHeavyBoxInFrontAsksForAFootAhead) {
    for (const double part : {.3, .6}) {
        Carry c;
        ASSERT_EQ(c.box(part).ask(), APLOMB_OK);
        ASSERT_EQ(c.told.found, 1) << part;
        EXPECT_GT(c.told.ahead, .1);
        EXPECT_LT(std::fabs(c.told.out), .06);
        EXPECT_LT(c.told.lean_after, c.told.lean_before);
        EXPECT_LE(c.told.hips_after, c.told.hips_before);
        EXPECT_GE(c.told.outline_count, 4);
    }
}

TEST(Foot, ABucketAsksForFeetApart) {
    for (const bool right : {true, false}) {
        Carry c;
        ASSERT_EQ(c.bucket(right ? "right_hand" : "left_hand", .45).ask(), APLOMB_OK);
        ASSERT_EQ(c.told.found, 1);
        EXPECT_GT(c.told.out, .05);
        EXPECT_GT(c.told.out, std::fabs(c.told.ahead));
        EXPECT_EQ(c.limb().side, right ? APLOMB_SIDE_RIGHT : APLOMB_SIDE_LEFT);
    }
}

TEST(Foot, ALightLoadAndNoLoadAskForNothingAndChangeNothing) {
    for (const double part : {0., .1}) {
        Carry c;
        ASSERT_EQ(c.box(part).ask(), APLOMB_OK);
        EXPECT_EQ(c.told.found, 0) << c.told.text;
        EXPECT_EQ(c.translations, c.pose.translations);
        EXPECT_EQ(c.rotations, c.pose.rotations);
    }
}

// The suggested key is balanced by the library as it was told, and it is reachable.
TEST(Foot, WhatIsToldIsWhatBalanceGives) {
    Carry c;
    ASSERT_EQ(c.box(.6).ask(), APLOMB_OK);
    ASSERT_EQ(c.told.found, 1);
    aplomb_result result;
    EXPECT_EQ(c.balance(result), APLOMB_OK);
    const double* s = result.controls.hips_shift;
    EXPECT_NEAR(std::sqrt(s[0] * s[0] + s[1] * s[1] + s[2] * s[2]), c.told.hips_after, 1e-6);
}

TEST(Foot, OnceTakenAndAskedAgainNothing) {
    for (const double part : {.3, .6}) {
        Carry c;
        c.box(part).ask();
        ASSERT_EQ(c.told.found, 1);
        ASSERT_EQ(c.ask(), APLOMB_OK);
        EXPECT_EQ(c.told.found, 0) << part << ": " << c.told.text;
    }
}

// The other foot stays, the moved one goes by what was told and keeps its attitude and height.
TEST(Foot, OnlyOneFootMoves) {
    Carry c;
    ASSERT_EQ(c.box(.6).ask(), APLOMB_OK);
    ASSERT_EQ(c.told.found, 1);
    lay::Pose after = c.pose;
    after.translations = c.translations, after.rotations = c.rotations;
    for (const char* foot : {"left_foot", "right_foot"}) {
        const bool moved = c.shape.find(foot) == c.limb().end;
        const aplomb::Vec3 way = after.place(foot) - c.pose.place(foot);
        EXPECT_NEAR(way.x, moved ? c.told.way[0] : 0, 1e-9) << foot;
        EXPECT_NEAR(way.y, 0, 1e-9) << foot;
        EXPECT_NEAR(way.z, moved ? c.told.way[2] : 0, 1e-9) << foot;
    }
}

TEST(Foot, NeverMakesLeanOrShiftLargerAndIsReachable) {
    uint32_t state = 1;
    const auto between = [&](double low, double high) {
        state = state * 1664525u + 1013904223u; // D. Knuth, quoted in Numerical Recipes, 1992
        return low + (high - low) * (state >> 8) / 0x1p24;
    };
    int found = 0, kept = 0;
    for (int i = 0; i < 150; ++i) {
        Carry c(between(4, 30));
        const lay::Point left = c.shape.position(c.shape.find("left_foot"));
        const double ahead = between(-.15, .15), apart = between(0, .1);
        c.pose.stand_on("left", {left.x + apart, left.y, left.z + ahead}).turn("spine_1", between(-6, 12));
        c.translations = c.pose.translations, c.rotations = c.pose.rotations;
        const double part = between(.15, .9), side = between(-.2, .2), forward = between(-.3, .45);
        c.on("spine_3", part, side, -.2, forward);
        aplomb_result keyed;
        const aplomb_status before = c.balance(keyed);
        ASSERT_EQ(c.ask(), APLOMB_OK);
        kept += !c.told.found;
        if (!c.told.found) continue;
        ++found;
        EXPECT_LE(c.told.lean_after, c.told.lean_before) << i;
        EXPECT_LE(c.told.hips_after, c.told.hips_before) << i;
        aplomb_result after;
        const aplomb_status status = c.balance(after);
        EXPECT_TRUE(status == APLOMB_OK || status == before) << i << ": " << status;
        const double* s = after.controls.hips_shift;
        EXPECT_NEAR(std::sqrt(s[0] * s[0] + s[1] * s[1] + s[2] * s[2]), c.told.hips_after, 2e-3) << i;
    }
    EXPECT_GT(found, 40);
    EXPECT_GT(kept, 20);
}

TEST(Foot, TheSameBitsEachTime) {
    Carry a, b;
    a.box(.6).ask(), b.box(.3).ask();
    b.translations = b.pose.translations, b.rotations = b.pose.rotations;
    b.box(.6).ask();
    EXPECT_EQ(a.rotations, b.rotations);
    EXPECT_EQ(std::memcmp(&a.told, &b.told, sizeof a.told), 0);
}

TEST(Foot, BadInputIsRefusedInOneSentence) {
    Carry c;
    c.box(.6);
    aplomb_error error{};
    aplomb_foot_suggestion told;
    aplomb_foot_suggestion_init(&told, sizeof told);
    const aplomb_situation s = c.situation();
    EXPECT_EQ(aplomb_suggest_foot(nullptr, &s, nullptr, nullptr, nullptr, &told, &error),
              APLOMB_BAD_ARGUMENT);
    EXPECT_EQ(aplomb_suggest_foot(c.solver.get(), &s, nullptr, nullptr, c.rotations.data(), &told, &error),
              APLOMB_BAD_ARGUMENT);
    EXPECT_STREQ(error.message, "translations is NULL, but rotations is not; give both or neither.");
    told.struct_size = 2;
    EXPECT_EQ(aplomb_suggest_foot(c.solver.get(), &s, nullptr, nullptr, nullptr, &told, &error),
              APLOMB_WRONG_VERSION);
}

} // namespace
