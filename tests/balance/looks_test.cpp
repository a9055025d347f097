// SPDX-License-Identifier: MIT
// What the smallest corrections (heft 0) look like: sign and size beside the table of an independent sketch (`look/LOOK.md`,
// "Numbers"; its figure in the comments), and facts of the trade (common practice).
#include <gtest/gtest.h>

#include <cstring>

#include "balance/carries.h"

namespace own {
namespace {

struct Carry {
    Moment moment;
    Answer answer;
    Look look;
};

Carry carry(const lay::Pose& pose, const std::vector<aplomb_load>& loads) {
    Carry made{Moment(pose), {}, {}};
    made.moment.loads = loads;
    made.moment.options.heft = 0;
    made.answer = balance(adult(), made.moment);
    made.look = look_of(adult(), made.moment, made.answer);
    return made;
}

Carry carry_box(double part, double forward, double height = 1.05) {
    const lay::Pose pose = stand(adult());
    return carry(pose, {box(adult(), pose, part, forward, height)});
}

Carry carry_bucket(double part) {
    lay::Pose pose = stand(adult());
    return carry(pose, {bucket(adult(), "right_hand", part)});
}

struct Sketch {
    double part, lean, before_cm; // of body mass; degrees; balance point to home before
};

void expect_knees_keep_their_bend(const Look& look, double most) {
    EXPECT_LT(std::fabs(look.knee_change[0]), most);
    EXPECT_LT(std::fabs(look.knee_change[1]), most);
}

/// Within a third of the sketch, and 1.5 degrees: another figure, drawn with slightly other bounds.
void expect_like(double lean, const Sketch& sketch) {
    EXPECT_NEAR(lean, sketch.lean, sketch.lean / 3 + 1.5) << sketch.part;
}

TEST(Looks, ABoxAtTheBellyLeansTheBodyBack) {
    constexpr double forward = 0.31; // so that `before` is the sketch's
    for (const Sketch& sketch : {Sketch{.10, 4.9, 2.8}, Sketch{.30, 12.4, 7.2}, Sketch{.60, 20.8, 11.8}}) {
        const Carry c = carry_box(sketch.part, forward);
        EXPECT_EQ(c.answer.status, APLOMB_OK);
        EXPECT_NEAR(100 * c.look.before, sketch.before_cm, 0.5) << sketch.part;
        expect_like(-c.look.lean_forward, sketch);
        EXPECT_LT(c.look.hips_forward, 0);
        EXPECT_NEAR(c.look.lean_left, 0, 0.01);
        expect_knees_keep_their_bend(c.look, 4); // sketch: 8 to 8
    }
}

TEST(Looks, ABoxAtArmsLengthLeansItBackFurther) {
    constexpr double forward = 0.50;
    for (const Sketch& sketch : {Sketch{.05, 4.4, 2.4}, Sketch{.10, 8.6, 4.7}, Sketch{.20, 16.0, 8.6}}) {
        const Carry c = carry_box(sketch.part, forward, 1.25);
        EXPECT_EQ(c.answer.status, APLOMB_OK);
        EXPECT_NEAR(100 * c.look.before, sketch.before_cm, 0.5) << sketch.part;
        expect_like(-c.look.lean_forward, sketch);
        expect_knees_keep_their_bend(c.look, 4);
    }
}

TEST(Looks, ABucketInTheRightHandLeansTheBodyLeft) {
    for (const Sketch& sketch : {Sketch{.10, 4.1, 2.4}, Sketch{.20, 7.5, 4.5}, Sketch{.40, 12.6, 7.7}}) {
        const Carry c = carry_bucket(sketch.part);
        EXPECT_EQ(c.answer.status, APLOMB_OK);
        expect_like(c.look.lean_left, sketch);
        EXPECT_GT(c.look.hips_left, 0); // sketch: 1.6, 2.9, 4.7 cm
        EXPECT_NEAR(c.look.lean_forward, 0, 2);
        expect_knees_keep_their_bend(c.look, 10); // sketch: 8 to 16 on the left at 40 %
    }
}

TEST(Looks, AHiveOnTheBackLeansItForward) {
    const lay::Pose pose = stand(adult());
    for (const Sketch& sketch : {Sketch{.15, 7.3, 4.2}, Sketch{.30, 12.9, 7.4}, Sketch{.60, 20.5, 12.0}}) {
        const Carry c = carry(pose, {box(adult(), pose, sketch.part, -0.32, 1.25)});
        EXPECT_EQ(c.answer.status, APLOMB_OK);
        EXPECT_NEAR(100 * c.look.before, sketch.before_cm, 0.6) << sketch.part;
        expect_like(c.look.lean_forward, sketch);
        EXPECT_GT(c.look.hips_forward, 0);
        expect_knees_keep_their_bend(c.look, 5);
    }
}

TEST(Looks, ALiftedFootBringsTheHipsOverTheOtherWithAnUprightTrunk) {
    Moment m(lifted_left(adult(), 0.25));
    m.contacts = on_right_foot(adult());
    m.options.heft = 0;
    const Answer a = balance(adult(), m);
    const Look look = look_of(adult(), m, a);
    EXPECT_EQ(a.status, APLOMB_OK);
    EXPECT_LT(look.hips_left, -0.06); // feet are 8 cm from the middle; sketch: 12.6 cm for wider ones
    EXPECT_LT(look.after, 0.01);
    EXPECT_LT(std::hypot(look.lean_forward, look.lean_left), 3); // sketch: 0.2 degrees
    EXPECT_LT(std::fabs(look.knee_change[1]), 4);                // sketch: 8 to 9
}

TEST(Looks, AnUnloadedActingLeanIsUntouched) {
    lay::Pose pose = stand(adult());
    pose.turn("spine_1", 6).turn("spine_2", 5).turn("spine_3", 4);
    const Carry c = carry(pose, {});
    EXPECT_EQ(c.answer.status, APLOMB_OK);
    EXPECT_EQ(c.answer.result.changed, 0);
    EXPECT_EQ(
        std::memcmp(c.answer.rotations.data(), pose.rotations.data(), pose.rotations.size() * sizeof(double)),
        0);
    EXPECT_EQ(std::memcmp(c.answer.translations.data(), pose.translations.data(),
                          pose.translations.size() * sizeof(double)),
              0);
}

TEST(Looks, ATiltedTrunkThatCountersItsLoadIsHardlyTouched) {
    lay::Pose pose = stand(adult());
    pose.turn("spine_1", -5).turn("spine_2", -4).turn("spine_3", -3);
    const Carry c = carry(pose, {box(adult(), stand(adult()), .20, 0.31, 1.05)});
    EXPECT_LT(-c.look.lean_forward, 6); // sketch: 3.6, where the upright pose needs 9
}

/// 150 N at the right hand, as of a rope.
Carry pulled(const Vector& way) {
    Carry made{Moment(stand(adult())), {}, {}};
    aplomb_pull rope{};
    rope.joint = adult().find("right_hand");
    for (int i = 0; i < 3; ++i)
        rope.force[i] = 150 * way[i];
    made.moment.pulls = {rope};
    made.answer = balance(adult(), made.moment);
    return made;
}

// Statics: what a level pull F does at the height h of the hand, the body's weight W undoes by F h / W of its centre.
TEST(Looks, ARopeLeansTheWholeBodyAwayFromIt) {
    for (const Vector& way : {Vector(0, 0, 1), Vector(0, 0, -1), Vector(1, 0, 0), Vector(-1, 0, 0)}) {
        const Carry c = pulled(way);
        EXPECT_EQ(c.answer.status, APLOMB_OK);
        const aplomb_reading keyed = read(adult(), c.moment), leant = read(adult(), c.moment, c.answer);
        const auto away = [&way](const double* now, const double* before) {
            return way.dot(Vector(before) - Vector(now));
        };
        const double moved = away(leant.body_centre, keyed.body_centre);
        const size_t hand = static_cast<size_t>(adult().find("right_hand"));
        const double undone = 150 * c.answer.world.place[hand].y() / (9.80665 * keyed.body_mass);
        EXPECT_NEAR(moved, undone, 0.15 * undone) << way.transpose();
        // Hips alone could do that, too, under an upright trunk: ankles, hips and chest lean in one line.
        const double ankle = keyed.line_of_action[0][1];
        const auto way_of = [&](int k) { return away(leant.line_of_action[k], keyed.line_of_action[k]); };
        const auto height_of = [&](int k) { return k == 0 ? ankle : leant.line_of_action[k][1]; };
        const auto lean = [&](int from, int to) { // hips: 1, chest: 3; feet are planted
            const double level = way_of(to) - (from == 0 ? 0 : way_of(from));
            return degrees(std::atan2(level, height_of(to) - height_of(from)));
        };
        const double whole = degrees(std::atan2(undone, keyed.body_centre[1] - ankle)); // 10 to 12
        EXPECT_NEAR(lean(0, 3), whole, whole / 6) << way.transpose();
        EXPECT_NEAR(lean(0, 1), whole, whole / 2) << way.transpose();
        EXPECT_NEAR(lean(1, 3), whole, whole / 2) << way.transpose();
    }
}

// ---- Facts of the trade: common practice
// ----------------------------------------------------------------------

TEST(Trade, MoreMassOrALongerArmLeansMore) {
    double last = 0;
    for (const double part : {.05, .10, .20, .40}) {
        const double lean = -carry_box(part, 0.31).look.lean_forward;
        EXPECT_GT(lean, last + 0.5) << part;
        last = lean;
    }
    last = 0;
    for (const double arm : {0.15, 0.25, 0.35, 0.50}) {
        const double lean = -carry_box(.15, arm).look.lean_forward;
        EXPECT_GT(lean, last + 0.5) << arm;
        last = lean;
    }
}

TEST(Trade, LiftingAFootFallsUntilTheHipsComeOver) {
    Moment m(lifted_left(adult(), 0.15));
    m.contacts = on_right_foot(adult());
    EXPECT_LT(read(adult(), m).margin, 0);
    const Answer a = balance(adult(), m);
    EXPECT_EQ(a.status, APLOMB_OK);
    EXPECT_GT(read(adult(), m, a).margin, 0);
}

/// The corrected pose as a new key, without its load.
double margin_without_load(const Carry& c) {
    Moment dropped;
    dropped.translations = c.answer.translations, dropped.rotations = c.answer.rotations;
    return read(adult(), dropped).margin;
}

TEST(Trade, DroppingAHeavyFrontLoadFallsBackwardsAndALightOneDoesNot) {
    // Held close, so that leaning is all that counters it.
    EXPECT_LT(margin_without_load(carry_box(.80, 0.31)), 0);
    EXPECT_GT(margin_without_load(carry_box(.10, 0.31)), 0);
    Carry heavy = carry_box(.80, 0.31);
    Moment dropped;
    dropped.translations = heavy.answer.translations, dropped.rotations = heavy.answer.rotations;
    EXPECT_LT(read(adult(), dropped).tip_direction[2], -0.9); // backwards
}

TEST(Trade, TheLoadIsCounteredWithinFifteenPercent) {
    for (const double part : {.10, .30, .60}) {
        for (const Carry& c : {carry_box(part, 0.31), carry_bucket(part)}) {
            const aplomb_reading reading = read(adult(), c.moment, c.answer);
            EXPECT_NEAR(reading.loads[0].countered, c.moment.loads[0].mass, 0.15 * c.moment.loads[0].mass)
                << part;
        }
    }
}

} // namespace
} // namespace own
