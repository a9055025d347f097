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

/// Knees bent by `angle`, soles flat.
void bend_knees(Scene& scene, double angle) {
    for (const std::string side : {"left", "right"})
        scene.turn(side + "_thigh", 0, -angle / 2)
            .turn(side + "_shank", 0, angle)
            .turn(side + "_foot", 0, -angle / 2);
}

// Common practice: of 7, 13, 23 degrees the first is how a body stands, and 20 and 50 % of its mass in front make the others.
TEST(Cues, KneesTellOfTheirLoad) {
    double last = -1;
    for (const double angle : {5.0, 7.0, 12.7, 23.0, 34.0}) {
        Scene scene;
        bend_knees(scene, angle * degree);
        scene.load_in_front(20, .3);
        const aplomb_reading r = scene.read();
        EXPECT_NEAR(r.knees, angle * degree, 1e-9);
        if (angle <= 7) {
            EXPECT_EQ(r.knees_mass, 0);
        } else {
            EXPECT_GT(r.knees_mass, last);
        }
        if (angle == 12.7) {
            EXPECT_NEAR(r.knees_mass, .2 * r.body_mass, .02 * r.body_mass);
        }
        last = r.knees_mass;
    }
    EXPECT_GT(last, .6 * Scene().read().body_mass);
}

TEST(Cues, KneesDoNotTellOfACrouchALungeOrNothing) {
    Scene crouch, unloaded, lunge;
    bend_knees(crouch, 75 * degree);
    crouch.load_in_front(20, .3);
    EXPECT_TRUE(std::isnan(crouch.read().knees_mass));
    bend_knees(unloaded, 20 * degree);
    EXPECT_TRUE(std::isnan(unloaded.read().knees_mass));
    EXPECT_NEAR(unloaded.read().knees, 20 * degree, 1e-9);
    lunge.turn("left_thigh", 0, -15 * degree)
        .turn("left_shank", 0, 30 * degree)
        .turn("left_foot", 0, -15 * degree);
    lunge.contact("left_foot", APLOMB_BEARING).contact("right_foot", APLOMB_BEARING).load_in_front(20, .1);
    EXPECT_TRUE(std::isnan(lunge.read().knees_mass)) << lunge.read().knees_mass;
}

// Common practice.
TEST(Cues, KneesThatDoNotGiveReadLight) {
    Scene straight, bent, light;
    for (Scene* scene : {&straight, &light})
        bend_knees(*scene, 4 * degree);
    bend_knees(bent, 20 * degree);
    straight.load_in_front(35, .3), bent.load_in_front(35, .3), light.load_in_front(5, .3);
    EXPECT_TRUE(says(straight.read(), "The knees do not give (4.0 degrees) under 35.0 kg: it reads light"))
        << cues_of(straight.read());
    EXPECT_FALSE(says(bent.read(), "not give")) << cues_of(bent.read());
    EXPECT_FALSE(says(light.read(), "not give")) << cues_of(light.read());
}

TEST(Cues, BalanceAndKneesMayDisagree) {
    Scene lean, sunk, both;
    lean.bend(-20 * degree), both.bend(-30 * degree);
    bend_knees(sunk, 22 * degree), bend_knees(both, 11 * degree);
    for (Scene* scene : {&lean, &sunk, &both})
        scene->load_in_front(20, .5);
    EXPECT_TRUE(says(lean.read(), "by the knees as nothing: they disagree")) << cues_of(lean.read());
    EXPECT_TRUE(says(sunk.read(), "By its balance the load reads as ")) << cues_of(sunk.read());
    EXPECT_TRUE(says(sunk.read(), ": they disagree")) << cues_of(sunk.read());
    EXPECT_FALSE(says(both.read(), "disagree")) << cues_of(both.read());
    lean.load_in_front(10, .5); // of two it is not said which
    EXPECT_FALSE(says(lean.read(), "disagree")) << cues_of(lean.read());
}

// Common practice.
TEST(Cues, ALoadedShoulderIsNotTheHigherOne) {
    for (const double left_hand : {1, -1}) {
        Scene scene;
        scene.loads.push_back(
            aplomb_load_make(15, scene.lay.find(left_hand > 0 ? "left_hand" : "right_hand")));
        scene.loads[0].hanging = 1, scene.loads[0].hang = .3;
        EXPECT_FALSE(says(scene.read(), "loaded shoulder")) << cues_of(scene.read());
        scene.turn("spine_3", 2,
                   left_hand * 5 * degree); // the chest lifts the loaded side, the trunk hardly leans
        const aplomb_reading r = scene.read();
        EXPECT_NEAR(r.shoulders_side, left_hand * 5 * degree, 1e-9);
        EXPECT_TRUE(says(r, "The loaded shoulder is the higher one, by ")) << cues_of(r);
        scene.turn("spine_3", 2, -left_hand * 10 * degree);
        EXPECT_FALSE(says(scene.read(), "loaded shoulder")) << cues_of(scene.read());
    }
}

// Common practice: contrapposto.
TEST(Cues, OnOneFootTheFreeHipDrops) {
    for (const double drop : {0.0, 4.0, -3.0}) {
        Scene scene;
        // The standing leg slants inwards, so that the foot is under the hips.
        scene.turn("hips", 2, drop * degree).turn("left_thigh", 2, -(drop + 5.5) * degree);
        scene.turn("left_foot", 2, 5.5 * degree).turn("right_thigh", 2, -drop * degree);
        scene.turn("spine_1", 2, -drop * degree);
        scene.turn("right_thigh", 0, -10 * degree).turn("right_shank", 0, 30 * degree);
        scene.contact("left_foot", APLOMB_BEARING).contact("right_foot", APLOMB_HELD);
        const aplomb_reading r = scene.read();
        EXPECT_NEAR(r.pelvis_side, drop * degree, 1e-6);
        ASSERT_GT(r.margin, 0) << drop;
        EXPECT_EQ(says(r, "a level pelvis reads stiff"), drop == 0) << cues_of(r);
        EXPECT_EQ(says(r, "the free hip is the higher one, by 3.0 degrees"), drop < 0) << cues_of(r);
        scene.turn("right_thigh", 0, -30 * degree); // a lifted thigh keeps it level
        EXPECT_FALSE(says(scene.read(), "free hip")) << cues_of(scene.read());
    }
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
