// SPDX-License-Identifier: MIT
#include "follow/oscillator.h"

#include <cmath>

#include "base/exponential.h"
#include "base/pair_math.h"
#include "base/trig.h"

namespace aplomb {

Oscillator make_oscillator(double rate, double damping) {
    return {rate, damping * rate, rate * std::sqrt((1.0 - damping) * (1.0 + damping))};
}

namespace {

constexpr double least_angle = 1e-3;

/// sin(angle) / damped; near critical damping by its series.
double swing_part(double angle, double sine, double damped, double seconds) {
    return angle < least_angle ? seconds * (1.0 - angle * angle / 6.0) : sine / damped;
}

} // namespace

Propagator make_propagator(const Oscillator& o, double seconds) {
    const double angle = o.damped * seconds, decay = exp_negative(o.drag * seconds);
    const SinCos turn = sin_cos(angle);
    const double s = swing_part(angle, turn.sin, o.damped, seconds), drag = o.drag * s;
    return {decay * (turn.cos + drag), decay * s, -decay * o.rate * o.rate * s, decay * (turn.cos - drag)};
}

PropagatorPair make_propagator(const OscillatorPair& o, double seconds) {
    const Pair angle = o.damped * seconds, decay = exp_negative(o.drag * seconds);
    const SinCosPair turn = sin_cos(angle);
    const bool both_swing = angle[0] >= least_angle && angle[1] >= least_angle;
    const Pair s = both_swing ? turn.sin / o.damped
                              : Pair{swing_part(angle[0], turn.sin[0], o.damped[0], seconds),
                                     swing_part(angle[1], turn.sin[1], o.damped[1], seconds)};
    const Pair drag = o.drag * s;
    return {decay * (turn.cos + drag), decay * s, -decay * o.rate * o.rate * s, decay * (turn.cos - drag)};
}

} // namespace aplomb
