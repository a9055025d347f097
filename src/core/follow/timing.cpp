// SPDX-License-Identifier: MIT
#include "follow/timing.h"

#include <cmath>

#include "base/exponential.h"
#include "base/trig.h"
#include "follow/oscillator.h"

namespace aplomb {

double fall_time(double height, double gravity) {
    return std::sqrt(2 * height / gravity);
}

aplomb_bounce bounce(double height, double restitution, double gravity, int32_t index) {
    const double fall = fall_time(height, gravity);
    aplomb_bounce b = {fall, restitution * restitution * height, 2 * restitution * fall};
    for (int32_t k = 0; k < index; ++k) {
        b.landing += b.air;
        b.height *= restitution * restitution;
        b.air *= restitution;
    }
    return b;
}

/// The complete elliptic integral by the arithmetic-geometric mean (NIST Digital Library of Mathematical Functions, 19.8.5).
double pendulum_time(double length, double angle, double gravity) {
    constexpr int rounds = 12; // each doubles the digits; the first few are needed near pi
    double a = 1, b = sin_cos(0.5 * angle).cos;
    for (int k = 0; k < rounds; ++k) {
        const double mean = 0.5 * (a + b);
        b = std::sqrt(a * b);
        a = mean;
    }
    return 2 * pi * std::sqrt(length / gravity) / a;
}

double step_time(double leg, double seconds, double other) {
    return seconds * std::sqrt(other / leg);
}

/// Between two turning points, each exp(-damping rate pi / damped) of the one before, the motion is monotone: so the last turning
/// point that is not yet within `part` is found first, and then where the motion from it comes within. The envelope alone would
/// give up to more than twice that time.
double settle_time(double rate, double damping, double part) {
    const double damped = rate * std::sqrt((1 - damping) * (1 + damping));
    double from = 0, sign = 1;
    constexpr int most_turns = 100000; // damping 0.01 and a part of 1e-300 come to 22,000
    // Critically damped, or so nearly that no turning point is left: it comes within `part` once.
    double half_turn = damped > 1e-6 * rate ? pi / damped : 800 / rate;
    const double shrink = exp_negative(damping * rate * half_turn);
    double next = shrink;
    for (int turn = 0; turn < most_turns && next >= part; ++turn) {
        from += half_turn;
        next *= shrink;
        sign = -sign;
    }
    double to = from + half_turn;
    for (int halving = 0; halving < 100; ++halving) {
        const double middle = 0.5 * (from + to);
        const double place = make_propagator(rate, damping, middle).place_of_place;
        (sign * place >= part ? from : to) = middle;
    }
    return from;
}

} // namespace aplomb
