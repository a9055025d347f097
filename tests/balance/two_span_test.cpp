// SPDX-License-Identifier: MIT
// The closed-form limb: what it returns where nothing moved, straight and backward-bent knees, the end, and
// derivatives by finite differences.
#include "model/two_span.h"

#include <gtest/gtest.h>

#include "balance/corpus.h"

namespace own {
namespace {

using aplomb::Mat3;
using aplomb::TwoSpan;
using aplomb::TwoSpanState;
using aplomb::Vec3;

constexpr double least_bend = aplomb::degree, most_bend = 135 * aplomb::degree;

/// A leg of .42 and .40 m whose knee is bent by this much, to the front, turned somehow.
struct Leg {
    Vec3 start, middle, end, hinge;
};
Leg make_leg(double bend_degrees, const Vec3& turn = {}) {
    const double bend = bend_degrees * aplomb::degree;
    const aplomb::Quat q = aplomb::exp_rotation(turn);
    Leg leg;
    leg.start = {0.1, 0.9, 0.02};
    leg.middle = leg.start + rotate(q, Vec3{0, -0.42, 0});
    leg.end = leg.middle + rotate(q, Vec3{0, -0.40 * std::cos(bend), -0.40 * std::sin(bend)});
    leg.hinge = rotate(q, Vec3{1, 0, 0});
    return leg;
}
TwoSpan span_of(const Leg& leg) {
    return aplomb::make_two_span(leg.start, leg.middle, leg.end, leg.hinge, least_bend, most_bend);
}
TwoSpanState placed(const TwoSpan& span, const Vec3& start, double swivel = 0) {
    TwoSpanState s;
    aplomb::place_two_span(span, start, span.end, s);
    aplomb::swivel_two_span(span, swivel, s);
    return s;
}
double off_identity(const Mat3& m) {
    double worst = 0;
    for (int i = 0; i < 3; ++i) {
        for (int k = 0; k < 3; ++k)
            worst = std::max(worst, std::fabs(m.row[i][k] - (i == k ? 1.0 : 0.0)));
    }
    return worst;
}

TEST(TwoSpan, ReturnsTheKeyedLimbWhereNothingMoved) {
    Dice dice(1);
    for (const double bend : {1.5, 3.0, 8.0, 60.0, 120.0, -3.0}) {
        for (int i = 0; i < 50; ++i) {
            const Leg leg = make_leg(bend, {dice.within(1), dice.within(1), dice.within(1)});
            const TwoSpan span = span_of(leg);
            const TwoSpanState s = placed(span, leg.start);
            EXPECT_LT(norm(s.middle - leg.middle), 2e-14 / std::min(1.0, std::fabs(bend) * aplomb::degree));
            EXPECT_LT(norm(s.end - leg.end), 1e-15 * 8);
            EXPECT_LT(off_identity(upper_turn(span, s)), 1e-12);
            EXPECT_LT(off_identity(lower_turn(span, s)), 1e-12);
        }
    }
}

TEST(TwoSpan, AStraightLimbStartsAtTheEndOfReachAndBendsForward) {
    for (const double bend : {0.0, 1e-9, 1e-4, 0.1, 0.3, 0.6, 0.9}) {
        const Leg leg = make_leg(bend);
        const TwoSpan span = span_of(leg);
        const TwoSpanState s = placed(span, leg.start);
        EXPECT_LE(s.used, span.most);
        EXPECT_LT(norm(s.middle - leg.middle), 0.005);
        EXPECT_GT(dot(s.side, Vec3{0, 0, 1}), 0.99);
        // Lowered by 5 cm the knee goes to the front.
        EXPECT_GT(placed(span, leg.start - Vec3{0, 0.05, 0}).middle.z, leg.start.z + 0.05);
    }
}

TEST(TwoSpan, AKneeThatIsKeyedBackwardsStaysOnItsSide) {
    for (const double bend : {-1.2, -3.0, -8.0}) {
        const Leg leg = make_leg(bend);
        const TwoSpan span = span_of(leg);
        for (const double drop : {0.0, 0.01, 0.05})
            EXPECT_LT(dot(placed(span, leg.start - Vec3{0, drop, 0}).side, Vec3{0, 0, 1}), -0.9);
    }
}

TEST(TwoSpan, TheSideDoesNotJumpWhileALimbStraightens) {
    const Vec3 natural = {1, 0, 0};
    Vec3 last = span_of(make_leg(3, {0, 0.4, 0})).side;
    for (double bend = 3; bend >= 0; bend -= 0.01) {
        Leg leg = make_leg(bend, {0, 0.4, 0});
        leg.hinge = natural; // another way than the keyed one
        const Vec3 side = span_of(leg).side;
        EXPECT_LT(norm(side - last), 0.02) << bend;
        last = side;
    }
}

TEST(TwoSpan, SpansKeepTheirLengthAndTheEndItsPlace) {
    Dice dice(5);
    const Leg leg = make_leg(20);
    const TwoSpan span = span_of(leg);
    for (int i = 0; i < 200; ++i) {
        const Vec3 start = leg.start + Vec3{dice.within(0.1), dice.between(-0.1, 0.0), dice.within(0.05)};
        const TwoSpanState s = placed(span, start, dice.within(1));
        EXPECT_NEAR(norm(s.middle - s.start), span.upper_length, 1e-14);
        EXPECT_NEAR(norm(s.end - s.middle), span.lower_length, 1e-14);
        EXPECT_LT(norm(s.end - leg.end), 1e-15 * 8);
    }
}

/// The turn between two placings of a span, as a rotation vector in the world.
Vec3 turn_between(const Mat3& from, const Mat3& to) {
    return aplomb::log_rotation(aplomb::to_quat(to * transpose(from)));
}

void expect_derivatives(const TwoSpan& span, const Vec3& start, double swivel) {
    constexpr double h = 1e-6;
    const TwoSpanState s = placed(span, start, swivel);
    for (int t = 0; t < 3; ++t) {
        Vec3 torque;
        torque[t] = 1;
        const Vec3 upper = force_of_torques(s, torque, {}), lower = force_of_torques(s, {}, torque);
        const Vec3 force = torque + force_of_end_force(s, torque);
        for (int a = 0; a < 3; ++a) {
            Vec3 step;
            step[a] = h;
            const TwoSpanState up = placed(span, start + step, swivel),
                               down = placed(span, start - step, swivel);
            EXPECT_NEAR(upper[a], turn_between(down.upper_frame, up.upper_frame)[t] / (2 * h),
                        2e-7 * (1 + std::fabs(upper[a])));
            EXPECT_NEAR(lower[a], turn_between(down.lower_frame, up.lower_frame)[t] / (2 * h),
                        2e-7 * (1 + std::fabs(lower[a])));
            EXPECT_NEAR(force[a], (up.end - down.end)[t] / (2 * h), 2e-8);
        }
    }
}

TEST(TwoSpan, DerivativesAgreeWithDifferences) {
    Dice dice(6);
    for (int i = 0; i < 100; ++i) {
        const Leg leg = make_leg(dice.between(5, 90), {dice.within(1), dice.within(1), dice.within(1)});
        const TwoSpan span = span_of(leg);
        const Vec3 start = leg.end + (leg.start - leg.end) * dice.between(0.9, 0.999) +
                           Vec3{dice.within(0.05), 0, dice.within(0.05)};
        if (norm(leg.end - start) < span.most - 1e-3) expect_derivatives(span, start, dice.within(0.5));
    }
}

TEST(TwoSpan, AHeldEndGivesWaySmoothlyWhereReachEnds) {
    const Leg leg = make_leg(12);
    TwoSpan span = span_of(leg);
    span.gives_way = true;
    const Vec3 away = normalized(leg.start - leg.end);
    for (const double beyond : {-0.02, -0.005, -0.001, 0.002, 0.006, 0.05})
        expect_derivatives(span, leg.end + away * (span.most + beyond), 0.2);
    EXPECT_LE(placed(span, leg.end + away * (span.most + 0.3)).used, span.most);
}

TEST(TwoSpan, TheSmoothedBendFollowsTheAngleAndHasAFiniteSlope) {
    // theta(d) = sqrt(8 (1 - d/L) + theta0^2), theta0 = 6 degrees: near the knee's own angle for equal spans.
    constexpr double length = 0.8, h = 1e-6;
    for (const double bend : {20.0, 40.0, 60.0}) {
        const double d = aplomb::distance_of_bend(0.4, 0.4, bend * aplomb::degree);
        EXPECT_NEAR(aplomb::smooth_bend(d, length), bend * aplomb::degree, 0.08 * bend * aplomb::degree);
        const double slope =
            (aplomb::smooth_bend(d + h, length) - aplomb::smooth_bend(d - h, length)) / (2 * h);
        EXPECT_NEAR(aplomb::smooth_bend_slope(aplomb::smooth_bend(d, length), length), slope,
                    1e-7 * std::fabs(slope));
    }
    EXPECT_NEAR(aplomb::smooth_bend(length, length), 6 * aplomb::degree, 1e-15);
    EXPECT_LT(std::fabs(aplomb::smooth_bend_slope(aplomb::smooth_bend(length * (1 - 1e-12), length), length)),
              50.0);
}

} // namespace
} // namespace own
