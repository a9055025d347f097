// SPDX-License-Identifier: MIT
// How long things take. Their input is checked already.
#pragma once

#include "aplomb/follow.h"

namespace aplomb {

double fall_time(double height, double gravity);
aplomb_bounce bounce(double height, double restitution, double gravity, int32_t index);
double pendulum_time(double length, double angle, double gravity);
double step_time(double leg, double seconds, double other);
double settle_time(double rate, double damping, double part);

} // namespace aplomb
