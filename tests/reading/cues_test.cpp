// SPDX-License-Identifier: MIT
// What poses read as. The facts are common practice of the trade; the tests show that the numbers bear them
// out.
#include <gtest/gtest.h>

#include <cmath>

#include "scene.h"

namespace {

using namespace lay;

double size_of(const aplomb_reading& r) {
    double twice = 0;
    for (int i = 0; i < r.edge_count; ++i) {
        const double *a = r.area[i], *b = r.area[(i + 1) % r.edge_count];
        twice += a[2] * b[0] - a[0] * b[2];
    }
    return twice / 2;
}

// Common practice.
TEST(Cues, OnTheBallOfOneFootTheSupportIsSmall) {
    Scene flat, ball;
    flat.lift_foot("right").contact("left_foot", APLOMB_BEARING);
    ball.lift_foot("right").contact("left_foot", APLOMB_BEARING, APLOMB_ON_BALL);
    ball.contact("right_foot", APLOMB_HELD);
    const aplomb_reading a = flat.read(), b = ball.read();
    EXPECT_GT(size_of(b), 0);
    EXPECT_LT(size_of(b), .5 * size_of(a));
    EXPECT_TRUE(says(b, "Stands on the ball of the left foot")) << cues_of(b);
    EXPECT_FALSE(says(a, "ball of the")) << cues_of(a);
}

// Common practice.
TEST(Cues, HeldAtArmsLengthByAnUprightBodyALoadIsLight) {
    Scene scene;
    scene.load_in_front(20, .60);
    const aplomb_reading r = scene.read();
    EXPECT_EQ(r.loads[0].tells, 1);
    EXPECT_LT(r.loads[0].natural, 3);
    EXPECT_TRUE(says(r, "it reads weightless")) << cues_of(r);
}

TEST(Cues, ALoadOverASeatIsNotOverTheFeet) {
    const double points[12] = {.12, -.1, -.2, -.12, -.1, -.2, -.12, -.1, .1, .12, -.1, .1};
    for (const bool seated : {false, true}) {
        Scene scene;
        scene.contact("left_foot", APLOMB_BEARING).contact("right_foot", APLOMB_BEARING);
        if (seated) {
            aplomb_contact seat = aplomb_contact_make(-1, APLOMB_BEARING);
            seat.joint = scene.lay.find("hips"), seat.point_count = 4, seat.points = points;
            scene.contacts.push_back(seat);
        }
        scene.load_in_front(10, 0);
        const aplomb_reading r = scene.read();
        ASSERT_EQ(r.loads[0].tells, 0);
        EXPECT_TRUE(says(r, seated ? "weighs: it is over what bears" : "weighs: it is over the feet"))
            << cues_of(r);
    }
}

// Common practice.
TEST(Cues, LeaningFurtherBackReadsHeavier) {
    double last = -1;
    for (const double angle : {0.0, 6.0, 12.0, 18.0}) {
        Scene scene;
        scene.bend(-angle * degree);
        aplomb_load load = aplomb_load_make(10, scene.lay.find("left_hand"));
        load.holder[1] = scene.lay.find("right_hand");
        load.offset[2] = .45;
        scene.loads.push_back(load);
        const aplomb_reading r = scene.read();
        ASSERT_EQ(r.loads[0].tells, 1);
        EXPECT_TRUE(r.loads[0].natural > last || r.loads[0].natural == 0) << angle;
        last = r.loads[0].natural;
    }
    EXPECT_GT(last, 4);
}

// Common practice: the same lean counters more when the load is held close.
TEST(Cues, HeldCloserReadsHeavier) {
    double last = -1;
    for (const double reach : {.70, .55, .40}) {
        Scene scene;
        scene.bend(-12 * degree).load_in_front(10, reach);
        const double natural = scene.read().loads[0].natural;
        EXPECT_GT(natural, last);
        last = natural;
    }
}

TEST(Cues, LeaningBackAgainstALoad) {
    Scene scene;
    scene.bend(-20 * degree).load_in_front(20, .5);
    const aplomb_reading r = scene.read();
    EXPECT_TRUE(says(r, "away from the load: the lean reads as heavy")) << cues_of(r);
    EXPECT_FALSE(says(r, "weightless")) << cues_of(r);
}

TEST(Cues, LeaningAwayFromALoadAtTheSide) {
    Scene scene;
    scene.lean_right(12 * degree);
    aplomb_load bucket = aplomb_load_make(12, scene.lay.find("left_upper_arm")); // on a yoke's end
    bucket.offset[0] = .2, bucket.hanging = 1, bucket.hang = .6;
    scene.loads.push_back(bucket);
    EXPECT_TRUE(says(scene.read(), "away from the load")) << cues_of(scene.read());
    scene.lean_right(-32 * degree);
    EXPECT_TRUE(says(scene.read(), "towards the load: it reads light")) << cues_of(scene.read());
}

// Common practice.
TEST(Cues, HipsBetweenTheFeetWithOneFootUp) {
    Scene scene;
    scene.lift_foot("right");
    const aplomb_reading r = scene.read();
    EXPECT_TRUE(says(r, "One foot is up, but the hips stay")) << cues_of(r);
    EXPECT_TRUE(says(r, "Out of balance to the right")) << cues_of(r);

    // With the standing leg slanted inwards the foot is under the hips.
    Scene over;
    over.turn("left_thigh", 2, -5.5 * degree).turn("left_foot", 2, 5.5 * degree).lift_foot("right");
    EXPECT_FALSE(says(over.read(), "One foot is up")) << cues_of(over.read());
}

TEST(Cues, WeightFarBackOnTheHeels) {
    Scene scene;
    scene.bend(-16 * degree);
    scene.load_in_front(18, -.20);
    const aplomb_reading r = scene.read();
    if (r.margin < 0) FAIL() << "the pose was meant to stand";
    EXPECT_TRUE(says(r, "far back on the heels")) << cues_of(r) << r.contacts[0].place;
}

TEST(Cues, NeutralHasNothingToRemark) {
    const aplomb_reading r = Scene().read();
    EXPECT_EQ(r.cue_count, 0) << cues_of(r);
}

TEST(Cues, EverySentenceIsMarkedAndItsNumberIsInIt) {
    Scene scene;
    scene.turn("spine_1", 0, -30 * degree).lift_foot("right");
    for (const double reach : {.5, -.4, .9, .0})
        scene.load_in_front(30, reach);
    scene.loads[2].offset[0] = 1.5;
    const aplomb_reading r = scene.read();
    EXPECT_GT(r.cue_count, 2);
    EXPECT_LE(r.cue_count, APLOMB_MAX_CUES);
    for (int i = 0; i < r.cue_count; ++i) {
        const std::string text = r.cues[i].text;
        EXPECT_LT(text.size(), sizeof r.cues[i].text);
        ASSERT_GT(text.size(), 18U);
        EXPECT_EQ(text.substr(text.size() - 18), " (common practice)") << text;
        char number[32];
        std::snprintf(number, sizeof number, "%.1f", r.cues[i].value);
        EXPECT_NE(text.find(number), std::string::npos) << text << " " << number;
    }
}

} // namespace
