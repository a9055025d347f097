// SPDX-License-Identifier: MIT
#include "step/follower.h"

#include <algorithm>
#include <cmath>

namespace aplomb {
namespace {

constexpr double most_speed = 1e3; // metres or radians per second: of what is remembered

double length_of(const double* way) {
    return std::sqrt(way[0] * way[0] + way[1] * way[1] + way[2] * way[2]);
}

/// The way of this frame of the numbers from `first` on; `before`: what they were to be in the last.
void approach(const Clock& clock, int first, int end, const Followed& before, const Followed& target,
              Followed& way, StepMemory& m) {
    const double tau = follower_seconds * clock.scale, dt = clock.seconds;
    const double decay = exp_negative(dt / tau);
    for (int i = first; i < end; ++i) {
        // Towards u(t) = target before + slope t, behind which it settles by 2 tau slope.
        const double slope = (target.at[i] - before.at[i]) / dt;
        const double off = m.is.at[i] - (before.at[i] - 2.0 * tau * slope);
        const double rate = m.speed.at[i] - slope + off / tau;
        way.at[i] = target.at[i] - 2.0 * tau * slope + (off + rate * dt) * decay - m.is.at[i];
        m.speed.at[i] = slope + (m.speed.at[i] - slope - rate * dt / tau) * decay;
    }
}

void cut(const Clock& clock, int first, int end, double most, Followed& way, StepMemory& m) {
    double length = 0; // the trunk's joints turn about much the same axis, so their ways add up
    for (int i = first; i < end; i += 3)
        length += length_of(way.at + i);
    if (length <= most) return;
    for (int i = first; i < end; ++i) {
        way.at[i] *= most / length;
        m.speed.at[i] = way.at[i] / clock.seconds;
    }
}

void go(int first, int end, const Followed& way, StepMemory& m) {
    for (int i = first; i < end; ++i) {
        m.is.at[i] += way.at[i];
        m.speed.at[i] = std::clamp(m.speed.at[i], -most_speed, most_speed);
    }
}

/// At once where it should be.
void begin(int first, int end, const Followed& target, StepMemory& m) {
    std::copy(target.at + first, target.at + end, m.is.at + first);
    std::fill(m.speed.at + first, m.speed.at + end, 0.0);
}

} // namespace

void follow(const Clock& clock, const Stride& stride, const Followed& before, const Followed& target,
            StepMemory& m) {
    const int count = static_cast<int>(m.count);
    if (clock.anew) return begin(0, count, target, m), begin(pull_number, pull_number + 1, target, m);
    if (clock.seconds <= 0) return;
    Followed way;
    approach(clock, 0, count, before, target, way, m);
    approach(clock, pull_number, pull_number + 1, before, target, way, m);
    cut(clock, 0, 3, stride.hips, way, m);
    cut(clock, 3, 6, stride.turns, way, m);
    cut(clock, 6, count, stride.turns, way, m);
    go(0, count, way, m);
    go(pull_number, pull_number + 1, way, m);
}

void follow_own(const Clock& clock, const Stride& stride, const Followed& target, StepMemory& m) {
    constexpr int rest[][2] = {{first_arm, pull_number}, {neck_number, most_followed}};
    Followed way;
    if (!clock.anew && clock.seconds <= 0) return;
    for (const auto& [first, end] : rest) {
        if (clock.anew) {
            begin(first, end, target, m);
            continue;
        }
        approach(clock, first, end, target, target, way, m);
        for (int arm = first_arm; first == first_arm && arm < sink_number; arm += arm_numbers)
            cut(clock, arm, arm + arm_give_back, stride.turns, way, m);
        go(first, end, way, m);
    }
}

} // namespace aplomb
