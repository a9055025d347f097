// SPDX-License-Identifier: MIT
// A damped oscillator moved on exactly, however long the step.
#pragma once

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

/// `damping` at most 1.
Propagator make_propagator(double rate, double damping, double seconds);

} // namespace aplomb
