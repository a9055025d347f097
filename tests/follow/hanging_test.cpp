// SPDX-License-Identifier: MIT
// Loads that hang: energy, period, damping, slack and catch, the arm that gives, the stop.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "aplomb/follow.h"
#include "base/rotation.h"

namespace {

using aplomb::degree;
using aplomb::pi;
using aplomb::Vec3;

constexpr double gravity = 9.80665;

Vec3 vec(const double* v) {
    return {v[0], v[1], v[2]};
}

class Bucket {
public:
    explicit Bucket(double length = .5, double damping = 0, double give = 0) {
        aplomb_hanging_init(&hanging, sizeof hanging);
        hanging.length = length, hanging.mass = 10, hanging.damping = damping, hanging.give = give;
    }
    aplomb_hanging_result move(double seconds, const Vec3& hand) {
        double at[3];
        put(at, hand);
        aplomb_hanging_result r;
        aplomb_error error{};
        EXPECT_EQ(aplomb_hanging_step(&hanging, &state, seconds, at, &r, &error), APLOMB_OK) << error.message;
        return r;
    }
    /// Held out at an angle and let go.
    void let_go(double angle, double height = 0) {
        move(0, {0, height, 0});
        const double away[3] = {hanging.length * std::sin(angle), -hanging.length * std::cos(angle), 0};
        std::copy(away, away + 3, state.away);
    }
    double energy() const { // per mass
        const double l = hanging.length;
        const Vec3 spin = vec(state.spin);
        return .5 * l * l * dot(spin, spin) + gravity * state.away[1];
    }

    aplomb_hanging hanging;
    aplomb_hanging_state state{};
};

TEST(Hanging, StartsPlumbAndStaysSo) {
    Bucket b;
    for (int k = 0; k < 100; ++k) {
        const aplomb_hanging_result r = b.move(1. / 60, {1, 2, 3});
        EXPECT_EQ(vec(r.place).x, 1);
        EXPECT_EQ(vec(r.place).y, 2 - .5);
        EXPECT_NEAR(r.tension[1], -10 * gravity, 1e-9);
        EXPECT_EQ(r.angle, 0);
    }
}

TEST(Hanging, EnergyStaysOverAMillionSteps) {
    Bucket b;
    b.let_go(60 * degree);
    b.state.spin[1] = 1.5; // and round
    const double before = b.energy();
    double worst = 0;
    for (int k = 0; k < 1000000; ++k) {
        b.move(1. / 120, {0, 0, 0});
        worst = std::max(worst, std::fabs(b.energy() - before));
    }
    EXPECT_LT(worst / (gravity * b.hanging.length), 1e-10);
    EXPECT_NEAR(norm(vec(b.state.away)), b.hanging.length, 1e-10);
}

TEST(Hanging, DampedItNeverGrows) {
    Bucket b(.5, .02);
    b.let_go(80 * degree);
    double last = b.energy();
    for (int k = 0; k < 10000; ++k) {
        b.move(1. / 120, {0, 0, 0});
        EXPECT_LE(b.energy(), last + 1e-12);
        last = b.energy();
    }
    EXPECT_NEAR(last, -gravity * .5, 1e-3);
}

/// Zero crossings, against the elliptic integral.
TEST(Hanging, ThePeriodIsThatOfTheEllipticIntegral) {
    for (const double angle : {5., 30., 60., 90.}) {
        Bucket b(.5);
        b.let_go(angle * degree);
        const double h = 1. / 120, rate = std::sqrt(gravity / .5);
        double first = 0, last = 0;
        int crossings = 0;
        for (int k = 1; k < 3000; ++k) {
            const double before = b.state.away[0];
            b.move(h, {0, 0, 0});
            const double after = b.state.away[0];
            if ((before > 0) == (after > 0)) continue;
            const double at = (k - after / (after - before)) * h;
            if (crossings++ == 0) first = at;
            last = at;
        }
        const double period = 2 * (last - first) / (crossings - 1);
        const double truth = 4 * std::sqrt(.5 / gravity) * std::comp_ellint_1(std::sin(angle * degree / 2));
        EXPECT_NEAR(period / truth, 1, rate * h * rate * h / 12 + 2e-5) << angle;
        double seconds = 0;
        ASSERT_EQ(aplomb_pendulum_time(.5, angle * degree, gravity, &seconds, nullptr), APLOMB_OK);
        EXPECT_NEAR(seconds, truth, 1e-13);
    }
}

TEST(Hanging, DampingIsWhatItsNameSays) {
    const double part = .1, rate = std::sqrt(gravity / .5), damped = rate * std::sqrt(1 - part * part);
    Bucket b(.5, part);
    b.let_go(1 * degree);
    const int frames = 240;
    for (int k = 1; k <= frames; ++k) {
        b.move(1. / 240, {0, 0, 0});
        const double t = k / 240., decay = std::exp(-part * rate * t);
        const double expected =
            1 * degree * decay * (std::cos(damped * t) + part * rate / damped * std::sin(damped * t));
        EXPECT_NEAR(std::asin(b.state.away[0] / .5), expected, .002 * degree);
    }
}

TEST(Hanging, FliesWhenSlackAndIsCaughtWithoutABounce) {
    Bucket b(.5, 0, 0);
    b.move(0, {0, 2, 0});
    // The hand drops faster than the load falls, then holds still.
    double hand = 2, speed = 0;
    bool flew = false, caught = false;
    double fastest_out = 0;
    for (int k = 0; k < 480; ++k) {
        const double t = k / 240.;
        speed = t < .2 ? speed - 25. / 240 : 0;
        hand += speed / 240;
        const double height = b.state.hand[1] + b.state.away[1];
        const bool was_slack = b.state.slack;
        const aplomb_hanging_result r = b.move(1. / 240, {0, hand, 0});
        if (r.slack) {
            flew = true;
            EXPECT_EQ(norm(vec(r.tension)), 0);
            EXPECT_LE(norm(vec(b.state.away)), .5 + 1e-9);
        }
        if (r.caught) {
            caught = true;
            fastest_out = (r.place[1] - height) * 240;
        }
        if (was_slack && !r.slack) {
            EXPECT_NEAR(norm(vec(b.state.away)), .5, 1e-12);
        }
    }
    EXPECT_TRUE(flew);
    EXPECT_TRUE(caught);
    EXPECT_LT(fastest_out, 0); // it had been falling
    EXPECT_FALSE(b.state.slack);
    EXPECT_NEAR(hand + b.state.away[1], hand - .5, 1e-9); // and hangs again where it was caught
}

TEST(Hanging, AStopKeepsItAwayFromTheThigh) {
    Bucket b(.5, .05, 0);
    b.hanging.stop[0] = .1;
    b.move(0, {0, 0, 0});
    double nearest = -1, furthest = 1;
    for (int k = 0; k < 600; ++k) {
        b.move(1. / 60, {.15 * std::sin(2 * pi * .7 * k / 60.), 0, 0});
        nearest = std::max(nearest, b.state.away[0]), furthest = std::min(furthest, b.state.away[0]);
        EXPECT_NEAR(norm(vec(b.state.away)), .5, 1e-9);
    }
    EXPECT_NEAR(nearest, .1, 1e-9);
    EXPECT_LT(furthest, -.1);
}

TEST(Hanging, AnArmThatGivesTakesTheCornersOut) {
    const auto hardest = [](double give) {
        Bucket b(.5, .2, give);
        double most = 0;
        for (int k = 0; k < 240; ++k) { // a hand that jerks up and down by a centimetre
            const double up = k % 4 < 2 ? .01 : 0;
            most = std::max(most, norm(vec(b.move(1. / 60, {0, up, 0}).tension)));
        }
        return most / (10 * gravity);
    };
    EXPECT_LT(hardest(3), .5 * hardest(0));
}

TEST(Hanging, NoTimeGivesTheLastAnswer) {
    Bucket b(.5, .1, 3);
    for (int k = 0; k < 30; ++k)
        b.move(1. / 30, {.3 * std::sin(k / 5.), 0, 0});
    const aplomb_hanging_state before = b.state;
    const Vec3 hand = vec(b.state.hand);
    const aplomb_hanging_result again = b.move(0, hand);
    EXPECT_EQ(again.place[0], hand.x + before.away[0]);
    EXPECT_EQ(b.state.away[0], before.away[0]);
    EXPECT_EQ(b.state.seconds, before.seconds);
}

TEST(Hanging, SaysWhatFeedsIt) {
    char text[240];
    // 0.18 m swings in 0.85 s.
    EXPECT_GT(aplomb_hanging_remark(.18, gravity, .43, text, sizeof text), 0);
    EXPECT_NE(std::string(text).find("a stride takes 0.86 s"), std::string::npos) << text;
    EXPECT_EQ(aplomb_hanging_remark(.18, gravity, .60, text, sizeof text), 0);
    EXPECT_STREQ(text, "");
    EXPECT_GT(aplomb_hanging_remark(.5, gravity, 1.4, text, sizeof text), 0);
    EXPECT_NE(std::string(text).find("a step takes 1.40 s"), std::string::npos) << text;
    EXPECT_EQ(aplomb_hanging_remark(-1, gravity, .5, text, sizeof text), -1);
}

} // namespace
