// SPDX-License-Identifier: MIT
// Our sine, cosine and arctangent against the C library's, in units in the last place; pairs against singles.
#include <bit>
#include <cmath>
#include <cstdint>
#include <limits>
#include <random>

#include <gtest/gtest.h>

#include "base/exponential.h"
#include "base/pair_math.h"
#include "base/trig.h"

namespace {

using namespace aplomb;

/// Of `value` from `truth`, in units in the last place of `truth`; near zero of a thousandth of `scale`,
/// where the reduction of the argument leaves an absolute error.
double ulps(double value, double truth, double scale) {
    const double size = std::fmax(std::fabs(truth), scale);
    const double unit = std::nextafter(size, std::numeric_limits<double>::infinity()) - size;
    return std::fabs(value - truth) / unit;
}

TEST(Trig, SineAndCosineWithinTwoUnits) {
    std::mt19937_64 random(1);
    double worst = 0;
    for (const double range : {1e-3, 0.8, 4.0, 100.0, 1e6}) {
        std::uniform_real_distribution<double> angles(-range, range);
        for (int i = 0; i < 100000; ++i) {
            const double angle = angles(random);
            const SinCos ours = sin_cos(angle);
            const double least = range > 4 ? 1e-3 : 0;
            worst = std::fmax(worst, ulps(ours.sin, std::sin(angle), least));
            worst = std::fmax(worst, ulps(ours.cos, std::cos(angle), least));
        }
    }
    EXPECT_LE(worst, 2.0);
}

TEST(Trig, ArctangentWithinTwoUnits) {
    std::mt19937_64 random(2);
    std::uniform_real_distribution<double> parts(-1, 1), powers(-8, 8);
    double worst = 0;
    for (int i = 0; i < 400000; ++i) {
        const double y = parts(random) * std::pow(10, powers(random)), x = parts(random);
        worst = std::fmax(worst, ulps(arctan2(y, x), std::atan2(y, x), 0));
    }
    EXPECT_LE(worst, 2.0);
}

TEST(Trig, ArccosineAndArcsine) {
    std::mt19937_64 random(3);
    std::uniform_real_distribution<double> values(-1, 1);
    for (int i = 0; i < 100000; ++i) {
        const double v = values(random);
        EXPECT_NEAR(arccos(v), std::acos(v), 1e-15 + 4e-16 * std::acos(v));
        EXPECT_NEAR(arcsin(v), std::asin(v), 1e-15);
    }
}

TEST(Trig, Ends) {
    EXPECT_EQ(arccos(1.5), 0.0);
    EXPECT_EQ(arccos(-1.5), pi);
    EXPECT_EQ(arcsin(2), 0.5 * pi);
    EXPECT_EQ(arctan2(0, 0), 0.0);
    EXPECT_EQ(arctan2(0, -1), pi);
    EXPECT_EQ(arctan2(1, 0), 0.5 * pi);
    EXPECT_EQ(sin_cos(0).sin, 0.0);
    EXPECT_EQ(sin_cos(0).cos, 1.0);
}

/// Two numbers side by side have the bits that each has alone: small, in every quarter, and too large.
TEST(Trig, PairsHaveTheBitsOfEach) {
    std::mt19937_64 random(2);
    const auto same = [](double a, double b) {
        return std::bit_cast<uint64_t>(a) == std::bit_cast<uint64_t>(b);
    };
    for (const double range : {1e-3, 0.8, 4.0, 100.0, 1e3}) {
        std::uniform_real_distribution<double> numbers(-range, range);
        for (int i = 0; i < 10000; ++i) {
            const double a = numbers(random), b = numbers(random);
            const SinCosPair turn = sin_cos(Pair{a, b});
            const SinCos one = sin_cos(a), other = sin_cos(b);
            EXPECT_TRUE(same(turn.sin[0], one.sin) && same(turn.cos[0], one.cos)) << a;
            EXPECT_TRUE(same(turn.sin[1], other.sin) && same(turn.cos[1], other.cos)) << b;
            const Pair decay = exp_negative(Pair{a, b});
            EXPECT_TRUE(same(decay[0], exp_negative(a)) && same(decay[1], exp_negative(b))) << a << ' ' << b;
        }
    }
    // Between two quarters, where the nearest whole number is a choice.
    for (int k = -9; k <= 9; ++k) {
        const double a = (k + .5) * .5 * pi, b = std::nextafter(a, -100.);
        const SinCosPair turn = sin_cos(Pair{a, b});
        EXPECT_TRUE(same(turn.sin[0], sin_cos(a).sin) && same(turn.cos[0], sin_cos(a).cos)) << a;
        EXPECT_TRUE(same(turn.sin[1], sin_cos(b).sin) && same(turn.cos[1], sin_cos(b).cos)) << b;
    }
    const Pair odd = exp_negative(Pair{1, 800});
    EXPECT_TRUE(same(odd[0], exp_negative(1)) && odd[1] == 0);
}

} // namespace
