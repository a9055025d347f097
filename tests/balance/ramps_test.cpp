// SPDX-License-Identifier: MIT
// Continuity: a small change of the moment changes the correction a little. The largest steps are those of an
// independent sketch (`look/LOOK.md`, "Continuity of the sketch", 200 steps) with a tenth of them as slack, as
// the figure is another one.
#include <gtest/gtest.h>

#include <functional>

#include "balance/carries.h"

namespace own {
namespace {

constexpr double usual =
    1.1; // of it, a trunk leans further where neck and head, whose turn is no variable, do not help
constexpr double straight = 1.3; // at arm's length our figure's hips travel further than the sketch's
constexpr double knee_slack =
    0.08; // degrees: our figure's knees bend by up to 3 over a ramp, the sketch's hardly

struct Steps {
    double hips_cm = 0, chest = 0, knee = 0; // the largest; degrees
};

/// The largest change of the correction (hips and chest against the key, so that a moving key does not
/// count).
Steps largest_steps(int count, const std::function<Moment(double)>& moment_at) {
    Steps largest;
    Look last;
    for (int i = 0; i <= count; ++i) {
        const Moment m = moment_at(static_cast<double>(i) / count);
        const Answer a = balance(adult(), m);
        EXPECT_GE(a.status, 0) << a.error.message;
        const Look now = look_of(adult(), m, a);
        if (i > 0) {
            const Vector hips(now.hips_forward - last.hips_forward, now.hips_left - last.hips_left,
                              now.hips_up - last.hips_up);
            largest.hips_cm = std::max(largest.hips_cm, 100 * hips.norm());
            largest.chest = std::max(largest.chest, std::hypot(now.lean_forward - last.lean_forward,
                                                               now.lean_left - last.lean_left));
            for (int k = 0; k < 2; ++k)
                largest.knee = std::max(largest.knee, std::fabs(now.knee_change[k] - last.knee_change[k]));
        }
        last = now;
    }
    return largest;
}

void expect_within(const Steps& steps, const Steps& sketch, double slack = usual) {
    EXPECT_LT(steps.hips_cm, slack * sketch.hips_cm);
    EXPECT_LT(steps.chest, slack * sketch.chest);
    const double knee = sketch.knee > 0 ? sketch.knee + knee_slack : 180; // 0: the sketch says nothing
    EXPECT_LT(steps.knee, knee);
}

Moment with_load(const lay::Pose& pose, const aplomb_load& load) {
    Moment m(pose);
    m.loads = {load};
    return m;
}

/// The four load ramps from nothing to 60 %: belly, arm's length, bucket, hive.
Steps ramp(int which, double knees) {
    const lay::Pose pose = stand(adult(), knees);
    return largest_steps(200, [&](double u) {
        const double part = 0.6 * u;
        if (which == 0) return with_load(pose, box(adult(), pose, part, 0.31, 1.05));
        if (which == 1) return with_load(pose, box(adult(), pose, part, 0.50, 1.25));
        if (which == 2) return with_load(pose, bucket(adult(), "right_hand", part));
        return with_load(pose, box(adult(), pose, part, -0.32, 1.25));
    });
}

// What a second sketch steps by for each per cent of load, with all that a load does to a body.
constexpr Steps carry = {.48 * .3, .60 * .3, .64 * .3};

TEST(Ramps, BoxAtTheBelly) {
    expect_within(ramp(0, 8), carry);
}
TEST(Ramps, BoxAtArmsLength) {
    expect_within(ramp(1, 8), {carry.hips_cm, .92 * .3, carry.knee});
}
TEST(Ramps, Bucket) {
    expect_within(ramp(2, 8), carry);
}
TEST(Ramps, Hive) {
    expect_within(ramp(3, 8), carry);
}
TEST(Ramps, StraightLegs) {
    for (int which = 0; which < 4; ++which) {
        SCOPED_TRACE(which);
        expect_within(ramp(which, 0), {0.088, 0.30, 1.2}, straight);
    }
}

/// The whole figure but its feet moved along the ground.
lay::Pose slid(double left, double forward, double knees = 8) {
    lay::Pose pose = stand(adult(), knees);
    pose.move(left, -0.01, forward);
    return pose.plant();
}

TEST(Ramps, SlidingForeAndAft) {
    // 0.175 cm a step; the sketch's row for phi over 8 %
    const Steps steps = largest_steps(200, [](double u) { return Moment(slid(0, 0.35 * (u - 0.5))); });
    expect_within(steps, {0.62, 0.28, 0});
}

TEST(Ramps, SlidingSideways) {
    // 0.3 cm a step
    const auto at = [](double u) { return slid(0.25 * (u - 0.5), 0); };
    expect_within(largest_steps(83, [&](double u) { return Moment(at(u)); }), {0.68, 0.45, 0});
    expect_within(
        largest_steps(83, [&](double u) { return with_load(at(u), bucket(adult(), "right_hand", .2)); }),
        {0.69, 0.49, 0.7});
}

TEST(Ramps, LiftingAFootWhileItsBearingFades) {
    // 0.25 cm a step to 25 cm, the bearing let go over the first half
    const Steps steps = largest_steps(100, [](double u) {
        Moment m(lifted_left(adult(), 0.25 * std::max(0.0, u - 0.5) * 2));
        m.contacts = on_right_foot(adult());
        m.contacts[0].hold = u < 0.5 ? APLOMB_BEARING : APLOMB_HELD;
        m.contacts[0].bearing = std::max(0.0, 1 - 2 * u);
        return m;
    });
    expect_within(steps, {1.5, 1.4, 0});
}

TEST(Ramps, OneFootSlidingSideways) {
    const Steps steps = largest_steps(100, [](double u) {
        lay::Pose pose = lifted_left(adult(), 0.25);
        const lay::Point a = adult().shape.position(adult().find("right_foot"));
        pose.move(0.175 * (u - 0.5), -0.005, 0).stand_on("right", {a.x, a.y, a.z});
        Moment m(pose);
        m.contacts = on_right_foot(adult());
        return m;
    });
    expect_within(steps, {0.39, 0.33, 0});
}

/// Both feet on their balls, heels up by 30 degrees.
lay::Pose on_tiptoe(double forward) {
    lay::Pose pose = stand(adult(), 12);
    const double pitch = 30;
    pose.move(0, 0.03, forward);
    for (const char* side : {"left", "right"}) {
        const std::string name = side;
        const lay::Point ankle = adult().shape.position(adult().find(name + "_foot")),
                         ball = adult().shape.position(adult().find(name + "_toe"));
        const aplomb::Vec3 to_ball = {ball.x - ankle.x, ball.y - ankle.y, ball.z - ankle.z};
        const aplomb::Vec3 turned = rotate(aplomb::exp_rotation({pitch * aplomb::degree, 0, 0}), to_ball);
        pose.stand_on(name, aplomb::Vec3{ball.x, ball.y, ball.z} - turned, pitch);
        pose.turn(name + "_toe", -pitch);
    }
    return pose;
}

TEST(Ramps, SlidingOnTiptoeWithABox) {
    // 0.12 cm a step
    const auto at = [](double u) {
        const lay::Pose pose = on_tiptoe(0.10 + 0.12 * (u - 0.5));
        Moment m = with_load(pose, box(adult(), pose, 0.15, 0.31, 1.05));
        for (const char* side : {"left_foot", "right_foot"}) {
            m.contacts.push_back(aplomb_contact_make(adult().limb(side), APLOMB_BEARING));
            m.contacts.back().footing = APLOMB_ON_BALL;
        }
        return m;
    };
    expect_within(largest_steps(100, at), {0.27, 0.26, 0});
}

TEST(Ramps, OneFootFromANarrowToAWideStance) {
    // half the stance from 4 to 30 cm in 200 steps
    const auto at = [](double u) {
        lay::Pose pose = lifted_left(adult(), 0.25);
        const lay::Point a = adult().shape.position(adult().find("right_foot"));
        const double half = 0.04 + 0.26 * u;
        const double leg = 0.5 * (half * half - a.x * a.x) / 0.8; // lower as the legs go apart
        pose.move(0, -std::max(0.0, leg), 0).stand_on("right", {-half, a.y, a.z});
        Moment m(pose);
        m.contacts = on_right_foot(adult());
        return m;
    };
    expect_within(largest_steps(200, at), {0.66, 1.6, 0});
}

} // namespace
} // namespace own
