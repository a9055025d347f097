// SPDX-License-Identifier: MIT
// A damped oscillator moved on exactly, however long the step.
#pragma once

#include "base/pair.h"

namespace aplomb {

/// q'' = -rate^2 (q - f) - 2 damping rate q': what becomes of q - f and q' in one step.
struct Propagator {
    double place_of_place, place_of_speed, speed_of_place, speed_of_speed;

    void move(double rest, double& place, double& speed) const {
        const double off = place - rest, was = speed;
        place = rest + (place_of_place * off + place_of_speed * was);
        speed = speed_of_place * off + speed_of_speed * was;
    }
};

/// What of an oscillator does not depend on the step.
struct Oscillator {
    double rate, drag, damped; // radians a second; `drag`: damping times rate; `damped`: how fast it swings
};

/// `damping` at most 1.
Oscillator make_oscillator(double rate, double damping);
Propagator make_propagator(const Oscillator& oscillator, double seconds);
inline Propagator make_propagator(double rate, double damping, double seconds) {
    return make_propagator(make_oscillator(rate, damping), seconds);
}

/// Two of each.
struct OscillatorPair {
    Pair rate, drag, damped;

    void set(int which, const Oscillator& o) {
        rate[which] = o.rate, drag[which] = o.drag, damped[which] = o.damped;
    }
};
struct PropagatorPair {
    Pair place_of_place, place_of_speed, speed_of_place, speed_of_speed;
};
PropagatorPair make_propagator(const OscillatorPair& oscillators, double seconds);

} // namespace aplomb
