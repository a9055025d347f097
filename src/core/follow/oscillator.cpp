// SPDX-License-Identifier: MIT
#include "follow/oscillator.h"

#include <cmath>

#include "base/exponential.h"
#include "base/trig.h"

namespace aplomb {

Propagator make_propagator(double rate, double damping, double seconds) {
    const double damped = rate * std::sqrt((1.0 - damping) * (1.0 + damping));
    const double angle = damped * seconds, decay = exp_negative(damping * rate * seconds);
    const SinCos turn = sin_cos(angle);
    // sin(angle) / damped; near critical damping by its series.
    const double s = angle < 1e-3 ? seconds * (1.0 - angle * angle / 6.0) : turn.sin / damped;
    const double drag = damping * rate * s;
    return {decay * (turn.cos + drag), decay * s, -decay * rate * rate * s, decay * (turn.cos - drag)};
}

} // namespace aplomb
