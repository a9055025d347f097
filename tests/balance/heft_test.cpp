// SPDX-License-Identifier: MIT
// What a load does to a body beside asking for balance: facts of the trade (common practice), and that nothing of it shows
// without a cause.
#include <gtest/gtest.h>

#include <cstring>
#include <string>

#include "balance/carries.h"
#include "balance/inside.h"

namespace own {
namespace {

struct Shown {
    Moment moment;
    Answer answer;
    World keyed;

    Vector place(const std::string& joint) const { return answer.world.place[index(joint)]; }
    Vector was(const std::string& joint) const { return keyed.place[index(joint)]; }
    double knee(const std::string& side) const { return knee_bend(adult(), answer.world, side); }
    Vector turn(const std::string& joint) const {
        return rotation_vector(answer.world.turn[index(joint)] * keyed.turn[index(joint)].conjugate());
    }
    static size_t index(const std::string& joint) { return static_cast<size_t>(adult().find(joint)); }
};

Shown shown(const lay::Pose& pose, const std::vector<aplomb_load>& loads, double heft = 1,
            const std::vector<aplomb_contact>& contacts = {}) {
    Shown s{Moment(pose), {}, {}};
    s.moment.loads = loads;
    s.moment.options.heft = heft;
    if (!contacts.empty()) s.moment.contacts = contacts;
    s.keyed = adult().bones.world(s.moment.translations.data(), s.moment.rotations.data());
    s.answer = balance(adult(), s.moment);
    EXPECT_GE(s.answer.status, 0) << s.answer.error.message;
    return s;
}

lay::Pose with_arms_at_the_belly(double knees = 7) {
    lay::Pose pose = stand(adult(), knees);
    pose.both("upper_arm", -15).both("lower_arm", -70);
    return pose;
}

aplomb_load in_both_hands(double part) {
    aplomb_load load = aplomb_load_make(part * adult().bones.body_mass(), adult().find("left_hand"));
    load.holder[1] = adult().find("right_hand");
    load.offset[2] = .08;
    return load;
}

/// From the line of two joints to level, degrees; positive: the left one is higher.
double slope(const Vector& left, const Vector& right) {
    const Vector way = left - right;
    return degrees(std::atan2(way.y(), way.x()));
}

TEST(Heft, KneesGiveUnderAFrontLoad) {
    const struct { double part, least, most; } facts[] = {{.2, 10, 15}, {.5, 20, 26}, {1, 30, 40}};
    for (const auto& fact : facts) {
        const Shown s = shown(with_arms_at_the_belly(), {in_both_hands(fact.part)});
        for (const char* side : {"left", "right"}) {
            EXPECT_GE(s.knee(side), fact.least) << fact.part;
            EXPECT_LE(s.knee(side), fact.most) << fact.part;
        }
    }
}

TEST(Heft, ALoadInBothHandsStaysLevelAndOffTheFace) {
    for (const double part : {.1, .3, .6, 1.0}) {
        const Shown s = shown(with_arms_at_the_belly(), {in_both_hands(part)});
        EXPECT_NEAR(slope(s.place("left_hand"), s.place("right_hand")), 0, 3) << part;
        EXPECT_LE(s.place("left_hand").y(), s.was("left_hand").y() + .005) << part;
        const double gap = s.place("left_hand").z() - s.place("spine_2").z(),
                     keyed = s.was("left_hand").z() - s.was("spine_2").z();
        EXPECT_LT(gap, keyed + .1) << part; // it comes along with the trunk
        EXPECT_GT(gap, .1) << part;         // and not into it
    }
}

TEST(Heft, ALoadThatIsDrawnInAsFarAsItMaySaysSo) {
    const auto names = [](double ahead, double part) {
        Moment m(with_arms_at_the_belly());
        m.loads = {in_both_hands(part)};
        m.loads[0].offset[2] = ahead;
        const Answer a = balance(adult(), m);
        std::string text;
        for (int32_t k = 0; k < a.result.hold_back_count; ++k)
            text += a.result.hold_backs[k].name + std::string("\n");
        return text;
    };
    EXPECT_NE(names(.5, 1).find("the load, drawn in as far as it may"), std::string::npos) << names(.5, 1);
    EXPECT_EQ(names(.05, .1).find("the load"), std::string::npos) << names(.05, .1);
}

TEST(Heft, OnlyWhatTwoHandsHoldIsCarriedLevel) {
    const auto is_level = [](const char* left, const char* right) {
        Moment m(with_arms_at_the_belly());
        aplomb_load load = aplomb_load_make(10, adult().find(left));
        load.holder[1] = adult().find(right);
        m.loads = {load};
        return Inside(adult(), m).reduction().has_level;
    };
    EXPECT_TRUE(is_level("left_hand", "right_hand"));
    EXPECT_FALSE(is_level("left_upper_arm", "right_upper_arm")); // a yoke
    EXPECT_FALSE(is_level("left_hand", "spine_3"));
    EXPECT_FALSE(is_level("left_hand", "left_lower_arm"));
}

TEST(Heft, MoreMassLeansAndGivesMoreUpToTheCaps) {
    double lean = 0, knee = 7, side = 0;
    for (const double part : {.05, .1, .2, .3, .45, .6, .8, 1.0}) {
        const Shown s = shown(with_arms_at_the_belly(), {in_both_hands(part)});
        EXPECT_GE(degrees(s.turn("spine_3").norm()), lean - .3) << part;
        EXPECT_GT(s.knee("left"), knee) << part;
        lean = degrees(s.turn("spine_3").norm()), knee = s.knee("left");
        EXPECT_LT(lean, 24) << part;
        const Shown b = shown(stand(adult(), 7), {bucket(adult(), "right_hand", part)});
        const double hips = b.place("hips").x() - b.was("hips").x();
        EXPECT_GT(hips, side) << part;
        side = hips;
    }
}

TEST(Heft, ThePelvisDropsOnTheFreeSideAndTheShouldersTiltTheOtherWay) {
    lay::Pose pose = lifted_left(adult(), .06);
    const Shown s = shown(pose, {}, 1, on_right_foot(adult()));
    const double pelvis = slope(s.place("left_thigh"), s.place("right_thigh"));
    EXPECT_LT(pelvis, -2.5); // by 5 degrees for hips of a tenth of the leg's length
    EXPECT_GT(pelvis, -6);
    EXPECT_GT(slope(s.place("left_upper_arm"), s.place("right_upper_arm")), 0);
    const Shown level = shown(pose, {}, 0, on_right_foot(adult()));
    EXPECT_GT(slope(level.place("left_thigh"), level.place("right_thigh")), pelvis + 1.5);
}

TEST(Heft, ALiftedFootGoesAlongWithItsHipJoint) {
    for (const double heft : {0.0, 1.0}) {
        Moment m(lifted_left(adult(), .25)); // the stance that the pose shows
        m.options.heft = heft;
        const World keyed = adult().bones.world(m.translations.data(), m.rotations.data());
        const Answer a = balance(adult(), m);
        EXPECT_EQ(a.status, APLOMB_OK);
        const auto way = [&](const char* joint) -> Vector {
            return a.world.place[Shown::index(joint)] - keyed.place[Shown::index(joint)];
        };
        EXPECT_GT(way("hips").norm(), .05);
        EXPECT_LT((way("left_foot") - way("left_thigh")).norm(), .01) << heft;
        EXPECT_LT(way("right_foot").norm(), 1e-9);
    }
}

TEST(Heft, ABucketHangsAndItsShoulderDoesNotRise) {
    for (const double part : {.1, .3, .6, 1.0}) {
        const Shown s = shown(stand(adult(), 7), {bucket(adult(), "right_hand", part)});
        const Vector arm = s.place("right_hand") - s.place("right_upper_arm");
        const double off = degrees(std::acos(-arm.normalized().y()));
        if (part >= .3) {
            EXPECT_LT(off, part < .9 ? 14 : 20) << part;
        }
        const double chest = std::fabs(degrees(s.turn("spine_3").z()));
        const double raised = -slope(s.place("left_upper_arm"), s.place("right_upper_arm")) +
                              slope(s.was("left_upper_arm"), s.was("right_upper_arm"));
        EXPECT_LE(raised, .5 * chest + .1) << part;
        // The free arm goes out, the hips go to its side, the chest never towards the bucket.
        EXPECT_GT(s.place("left_hand").x() - s.place("left_upper_arm").x(),
                  s.was("left_hand").x() - s.was("left_upper_arm").x());
        EXPECT_GT(s.place("hips").x(), s.was("hips").x());
        EXPECT_LE(s.turn("spine_3").z(), .3 / 57.3);
    }
}

TEST(Heft, TheHeadStaysWithTheNeck) {
    for (const double part : {.3, 1.0}) {
        for (const Shown& s : {shown(with_arms_at_the_belly(), {in_both_hands(part)}),
                               shown(stand(adult(), 7), {bucket(adult(), "right_hand", part)})}) {
            const Turn chest = s.answer.world.turn[Shown::index("spine_3")] *
                               s.keyed.turn[Shown::index("spine_3")].conjugate(),
                       head = s.answer.world.turn[Shown::index("head")] *
                              s.keyed.turn[Shown::index("head")].conjugate();
            EXPECT_LT(degrees(rotation_vector(chest.conjugate() * head).norm()), 25);
            EXPECT_LT(degrees(rotation_vector(head).norm()), degrees(rotation_vector(chest).norm()));
        }
    }
}

TEST(Heft, NothingShowsWithoutACause) {
    const lay::Pose pose = with_arms_at_the_belly();
    for (const double heft : {0.0, .5, 1.0}) {
        const Shown s = shown(pose, {}, heft);
        EXPECT_EQ(s.answer.result.changed, 0) << heft;
        EXPECT_EQ(std::memcmp(s.answer.rotations.data(), pose.rotations.data(),
                              pose.rotations.size() * sizeof(double)),
                  0);
    }
    for (const double part : {.01, .03, .05}) {
        EXPECT_LT(shown(pose, {in_both_hands(part)}).knee("left"), 7 + 2) << part;
        EXPECT_LT(shown(stand(adult(), 7), {bucket(adult(), "right_hand", part)}).knee("right"), 7 + 3.5)
            << part;
    }
}

TEST(Heft, AKeyThatCountersItsLoadByHandIsHardlyMoved) {
    lay::Pose pose = stand(adult(), 7);
    pose.turn("spine_1", -5).turn("spine_2", -4).turn("spine_3", -3);
    Moment m(pose);
    double near = 0, far = .8; // the load as far ahead as the lean counters it
    for (int halving = 0; halving < 60; ++halving) {
        const double ahead = .5 * (near + far);
        m.loads = {load_on(adult(), "spine_3", .2, 0, 0, ahead)};
        const aplomb_reading reading = read(adult(), m);
        (reading.balance_point[2] < reading.home[2] ? near : far) = ahead;
    }
    m.options.heft = 0;
    EXPECT_EQ(balance(adult(), m).result.changed, 0);
    m.options.heft = 1;
    const Look look = look_of(adult(), m, balance(adult(), m));
    EXPECT_LT(std::hypot(look.hips_forward, look.hips_left), .01);
    EXPECT_LT(std::hypot(look.lean_forward, look.lean_left), 1.5);
}

TEST(Heft, EachPartHasItsLock) {
    aplomb_options o = default_options();
    EXPECT_EQ(o.heft, 1);
    Moment m(with_arms_at_the_belly());
    m.loads = {in_both_hands(.5)};
    m.options.give = 0;
    const Answer stiff = balance(adult(), m);
    EXPECT_LT(knee_bend(adult(), stiff.world, "left"), 12);
    Moment foot(lifted_left(adult(), .06));
    foot.contacts = on_right_foot(adult());
    foot.options.hip_drop = 0;
    const Answer level = balance(adult(), foot);
    const auto place = [&](const char* joint) { return level.world.place[Shown::index(joint)]; };
    EXPECT_GT(slope(place("left_thigh"), place("right_thigh")), -1.5);
    Moment side(stand(adult(), 7));
    side.loads = {bucket(adult(), "right_hand", .5)};
    const double out = balance(adult(), side).world.place[Shown::index("left_hand")].x();
    side.options.free_arm = 0;
    EXPECT_LT(balance(adult(), side).world.place[Shown::index("left_hand")].x(), out - .05);
}

TEST(Heft, AFrontLoadHasThreeAnswers) {
    double pelvis[3], hips[3], knee[3], chest[3];
    for (int32_t front = 0; front < 3; ++front) {
        Moment m(with_arms_at_the_belly());
        m.loads = {in_both_hands(.5)};
        m.options.front = front;
        const Answer a = balance(adult(), m);
        EXPECT_EQ(a.status, APLOMB_OK);
        pelvis[front] = degrees(a.result.controls.hips_turn[0]);
        chest[front] = pelvis[front] + degrees(a.result.controls.chest[0]);
        hips[front] = a.result.controls.hips_shift[2];
        knee[front] = knee_bend(adult(), a.world, "left");
    }
    EXPECT_GT(hips[APLOMB_FRONT_ARCH], hips[APLOMB_FRONT_STRAIGHT]);
    EXPECT_GT(hips[APLOMB_FRONT_ARCH], hips[APLOMB_FRONT_SIT_BACK] + .02);
    EXPECT_LT(chest[APLOMB_FRONT_ARCH], -15);
    EXPECT_NEAR(chest[APLOMB_FRONT_STRAIGHT], 0, 8);
    EXPECT_NEAR(chest[APLOMB_FRONT_SIT_BACK], 0, 6);
    EXPECT_GT(pelvis[APLOMB_FRONT_SIT_BACK], pelvis[APLOMB_FRONT_STRAIGHT] + 2);
    EXPECT_GT(knee[APLOMB_FRONT_SIT_BACK], knee[APLOMB_FRONT_ARCH] + 5);
}

} // namespace
} // namespace own
