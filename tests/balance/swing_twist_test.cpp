// SPDX-License-Identifier: MIT
#include "model/swing_twist.h"

#include <gtest/gtest.h>

#include "balance/corpus.h"

namespace own {
namespace {

using aplomb::Quat;
using aplomb::Vec3;

Quat random_turn(Dice& dice, double most) {
    return aplomb::exp_rotation(aplomb::normalized(Vec3{dice.within(1), dice.within(1), dice.within(1)}) *
                                dice.between(0, most));
}

Turn plain(const Quat& q) {
    return {q.w, q.x, q.y, q.z};
}

TEST(SwingTwist, AgreesWithTheSmallestTurnOfTheBone) {
    Dice dice(1);
    for (int i = 0; i < 2000; ++i) {
        const Quat q = random_turn(dice, i % 3 == 0 ? 1e-6 : 2.5);
        const Vec3 parts = aplomb::swing_twist(q);
        const Vector should = swing_twist(plain(q));
        for (int k = 0; k < 3; ++k)
            EXPECT_EQ(aplomb::swing_twist_component(q, k), parts[k]);
        EXPECT_NEAR(parts.x, should.x(), 1e-12);
        EXPECT_NEAR(parts.y, should.y(), 1e-12);
        EXPECT_NEAR(parts.z, should.z(), 1e-12);
    }
}

TEST(SwingTwist, GoesThereAndBack) {
    Dice dice(2);
    for (int i = 0; i < 1000; ++i) {
        const Vec3 parts = {dice.within(1.5), dice.within(2.5), dice.within(1.5)};
        const Vec3 again = aplomb::swing_twist(aplomb::from_swing_twist(parts));
        for (int a = 0; a < 3; ++a)
            EXPECT_NEAR(again[a], parts[a], 1e-13);
    }
}

TEST(SwingTwist, DoesNotTellAQuaternionFromItsNegative) {
    Dice dice(3);
    const Quat q = random_turn(dice, 2);
    const Vec3 a = aplomb::swing_twist(q), b = aplomb::swing_twist({-q.x, -q.y, -q.z, -q.w});
    for (int k = 0; k < 3; ++k)
        EXPECT_EQ(a[k], b[k]);
}

TEST(SwingTwist, DerivativeAgreesWithDifferences) {
    Dice dice(4);
    constexpr double h = 1e-6;
    for (int i = 0; i < 500; ++i) {
        const Quat q = random_turn(dice, i % 4 == 0 ? 1e-5 : 2.4);
        const Vec3 rate[3] = {aplomb::swing_twist_gradient(q, 0), aplomb::swing_twist_gradient(q, 1),
                              aplomb::swing_twist_gradient(q, 2)};
        for (int c = 0; c < 3; ++c) {
            Vec3 turn;
            turn[c] = h;
            const Vec3 up = aplomb::swing_twist(aplomb::exp_rotation(turn) * q);
            const Vec3 down = aplomb::swing_twist(aplomb::exp_rotation(-turn) * q);
            for (int r = 0; r < 3; ++r)
                EXPECT_NEAR(rate[r][c], (up[r] - down[r]) / (2 * h), 2e-8 * (1 + std::fabs(rate[r][c])));
        }
    }
}

TEST(SwingTwist, TheMeasurableSwingEndsNearAHalfTurn) {
    const double angle = 165 * aplomb::degree;
    EXPECT_NEAR(aplomb::half_swing_cosine(aplomb::from_swing_twist({angle, 0.7, 0})), std::cos(0.5 * angle),
                1e-14);
    EXPECT_LT(aplomb::half_swing_cosine(aplomb::from_swing_twist({166 * aplomb::degree, 0, 0})),
              aplomb::least_half_swing_cosine);
}

} // namespace
} // namespace own
