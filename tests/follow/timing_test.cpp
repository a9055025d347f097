// SPDX-License-Identifier: MIT
// How long things take, against numbers that others published, and what gives.
#include <gtest/gtest.h>

#include <cmath>

#include "aplomb/follow.h"
#include "base/exponential.h"
#include "base/jacobi.h"
#include "base/trig.h"

namespace {

using aplomb::pi;

constexpr double gravity = 9.80665;

TEST(Exponential, IsThatOfTheStandardLibrary) {
    double worst = 0;
    for (double x = -700; x < 700; x += .0137) {
        const double is = aplomb::exp_negative(x), truth = std::exp(-x);
        worst = std::max(worst, std::fabs(is - truth) / truth);
    }
    EXPECT_LT(worst, 4.5e-16); // 2 units in the last place
    EXPECT_EQ(aplomb::exp_negative(0), 1);
    EXPECT_EQ(aplomb::exp_negative(1e300), 0);
    EXPECT_TRUE(std::isfinite(aplomb::exp_negative(-1e300)));
}

TEST(Jacobi, TakesAMatrixApart) {
    const int n = 48; // the most axes of a chain
    std::vector<double> a(n * n), vectors(n * n);
    for (int i = 0; i < n; ++i) {
        for (int k = 0; k < n; ++k)
            a[static_cast<size_t>(i * n + k)] = 1.0 / (i + k + 1) + (i == k) * (i % 3);
    }
    std::vector<double> diagonal = a;
    aplomb::jacobi_eigen(diagonal.data(), vectors.data(), n);
    for (int i = 0; i < n; ++i) {
        for (int k = 0; k < n; ++k) {
            double product = 0, unit = 0;
            for (int m = 0; m < n; ++m) {
                product += a[static_cast<size_t>(i * n + m)] * vectors[static_cast<size_t>(m * n + k)];
                unit += vectors[static_cast<size_t>(m * n + i)] * vectors[static_cast<size_t>(m * n + k)];
            }
            const double expected =
                diagonal[static_cast<size_t>(k * (n + 1))] * vectors[static_cast<size_t>(i * n + k)];
            const double beside = i == k ? 0 : diagonal[static_cast<size_t>(i * n + k)];
            EXPECT_LT(std::fabs(beside), 1e-15);
            EXPECT_NEAR(product, expected, 5e-14);
            EXPECT_NEAR(unit, i == k, 5e-14);
        }
    }
}

double fall(double height) {
    double seconds = 0;
    EXPECT_EQ(aplomb_fall_time(height, gravity, &seconds, nullptr), APLOMB_OK);
    return seconds;
}
aplomb_bounce bounce(double height, double restitution, int index) {
    aplomb_bounce b{};
    EXPECT_EQ(aplomb_bounce_time(height, restitution, gravity, index, &b, nullptr), APLOMB_OK);
    return b;
}

TEST(Timing, AFallIsThatOfTheTables) {
    EXPECT_NEAR(fall(4.903325), 1, 1e-12);
    EXPECT_NEAR(fall(1.22583125), .5, 1e-12); // 12 frames at 24
}

/// One after the other, landing by landing, against the sums of the series.
TEST(Timing, BouncesShrinkWithTheSquareOfTheRestitution) {
    const double e = .6, h = 2;
    double landing = fall(h);
    for (int k = 0; k < 8; ++k) {
        const aplomb_bounce b = bounce(h, e, k);
        EXPECT_NEAR(b.landing, landing, 1e-12);
        EXPECT_NEAR(b.height, h * std::pow(e, 2 * (k + 1)), 1e-12);
        EXPECT_NEAR(b.air, 2 * fall(b.height), 1e-12);
        landing += b.air;
    }
    // All of it ends at fall (1 + e) / (1 - e).
    EXPECT_NEAR(bounce(h, e, 60).landing, fall(h) * (1 + e) / (1 - e), 1e-9);
}

/// Published: the International Table Tennis Federation's ball comes up 24 to 26 cm on steel when dropped from 30.5 cm, which
/// is given as a restitution of 0.89 to 0.92; the rules of tennis want 53 to 58 inches of 100 on concrete (0.73 to 0.76).
TEST(Timing, BouncesAreThoseOfTheRulesOfGames) {
    EXPECT_NEAR(bounce(.305, .89, 0).height, .24, .0025);
    EXPECT_NEAR(bounce(.305, .92, 0).height, .26, .0025);
    EXPECT_NEAR(bounce(100, .73, 0).height, 53, .5);
    EXPECT_NEAR(bounce(100, .76, 0).height, 58, .5);
}

/// Equal Froude numbers v^2 / (g l) (R. McN. Alexander and A. Jayes, J. Zool. 201, 1983), steps in proportion to the leg.
TEST(Timing, AStepGrowsWithTheRootOfTheLeg) {
    double other = 0;
    ASSERT_EQ(aplomb_step_time(.9, 1, 3.1, &other, nullptr), APLOMB_OK);
    EXPECT_GE(24 * other, 44); // a fact of the trade: 24 frames become 44 to 45
    EXPECT_LE(24 * other, 45);
    for (const double leg : {.04, .3, .6, 2.2}) {
        ASSERT_EQ(aplomb_step_time(.9, .53, leg, &other, nullptr), APLOMB_OK);
        const double man = .7 / .53, beast = .7 * leg / .9 / other; // m/s
        EXPECT_NEAR(beast * beast / (gravity * leg), man * man / (gravity * .9), 1e-12);
    }
}

/// The last crossing, by walking along the swing.
TEST(Timing, SettlesAtTheLastCrossing) {
    for (const double damping : {.01, .05, .2, .35, .5, .7, .9, .99, 1.}) {
        for (const double part : {.5, .1, .02}) {
            double seconds = 0;
            ASSERT_EQ(aplomb_settle_time(2, damping, part, &seconds, nullptr), APLOMB_OK);
            const double rate = 2 * pi * 2, root = std::sqrt(1 - damping * damping), damped = rate * root;
            const auto place = [&](double t) {
                if (damping == 1) return std::exp(-rate * t) * (1 + rate * t);
                return std::exp(-damping * rate * t) *
                       (std::cos(damped * t) + damping / root * std::sin(damped * t));
            };
            EXPECT_NEAR(std::fabs(place(seconds)), part, 1e-9) << damping << " " << part;
            for (double t = seconds + 1e-6; t < seconds + 20 / (damping * rate); t += .002)
                ASSERT_LE(std::fabs(place(t)), part + 1e-9) << damping << " " << part << " at " << t;
        }
    }
    // By the envelope it would be 43 % longer.
    double seconds = 0;
    ASSERT_EQ(aplomb_settle_time(1, .7, .1, &seconds, nullptr), APLOMB_OK);
    const double envelope = -std::log(.1 * std::sqrt(1 - .49)) / (.7 * 2 * pi);
    EXPECT_NEAR(envelope / seconds, 1.433, .001);
}

double after(const aplomb_give& give, double rest, double place, double speed, double seconds) {
    EXPECT_EQ(aplomb_give_step(&give, rest, seconds, &place, &speed, nullptr), APLOMB_OK);
    return place;
}

TEST(Give, ArmsThatCatch15KilogramsFrom30Centimetres) {
    aplomb_give arms;
    ASSERT_EQ(aplomb_give_make(APLOMB_GIVE_ARMS, .56, gravity, .2, &arms, nullptr), APLOMB_OK);
    EXPECT_NEAR(arms.rate / (2 * pi), 2.5, .05); // Hz, of a man's
    const double speed = std::sqrt(2 * gravity * .3);
    EXPECT_NEAR(after(arms, 0, 0, speed, 2 / 24.), .08, .01);
}

TEST(Give, ALandingGoesDownAndComesBackAsALegsLengthSays) {
    aplomb_give legs;
    ASSERT_EQ(aplomb_give_make(APLOMB_GIVE_LANDING, .9, gravity, 0, &legs, nullptr), APLOMB_OK);
    double lowest = 0, at = 0, back = 0;
    for (int k = 1; k < 2400; ++k) {
        const double t = k / 2400., down = after(legs, 0, 0, 2, t);
        if (down > lowest) lowest = down, at = t;
        if (at > 0 && back == 0 && down < .1 * lowest) back = t - at;
    }
    EXPECT_NEAR(24 * at, 4.4, .1); // frames; recordings: 5 to 6
    EXPECT_GT(back, at);           // it comes back more slowly than it goes
    EXPECT_NEAR(lowest, 2 / legs.rate * std::exp(-std::acos(.5) / std::sqrt(3.)), 1e-4);
}

TEST(Give, LegsUnderALoadGoSlowerTheMoreItWeighs) {
    aplomb_give light, heavy;
    ASSERT_EQ(aplomb_give_make(APLOMB_GIVE_LEGS, .9, gravity, .1, &light, nullptr), APLOMB_OK);
    ASSERT_EQ(aplomb_give_make(APLOMB_GIVE_LEGS, .9, gravity, 1, &heavy, nullptr), APLOMB_OK);
    EXPECT_NEAR(light.rate / heavy.rate, std::sqrt(2 / 1.1), 1e-12);
    EXPECT_EQ(light.damping, .4);
    EXPECT_NEAR(after(light, .03, 0, 0, 5), .03, 1e-6); // and stay down
}

} // namespace
