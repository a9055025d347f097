// SPDX-License-Identifier: MIT
#include "step/follower.h"

#include <cmath>

namespace aplomb {
namespace {

constexpr double most_speed = 1e3; // metres or radians per second: of what is remembered

double length_of(const double* way) {
    return std::sqrt(way[0] * way[0] + way[1] * way[1] + way[2] * way[2]);
}

} // namespace

void follow(const Clock& clock, const Stride& stride, const Followed& target, StepMemory& m) {
    const int count = static_cast<int>(m.count);
    if (clock.anew) {
        m.is = m.target = target;
        m.speed = Followed{};
        return;
    }
    if (clock.seconds <= 0) return;
    const double tau = follower_seconds * clock.scale, dt = clock.seconds;
    const double decay = exp_negative(dt / tau);
    Followed way;
    for (int i = 0; i < count; ++i) {
        // Towards u(t) = target before + slope t, behind which it settles by 2 tau slope.
        const double slope = (target.at[i] - m.target.at[i]) / dt;
        const double off = m.is.at[i] - (m.target.at[i] - 2.0 * tau * slope);
        const double rate = m.speed.at[i] - slope + off / tau;
        way.at[i] = target.at[i] - 2.0 * tau * slope + (off + rate * dt) * decay - m.is.at[i];
        m.speed.at[i] = slope + (m.speed.at[i] - slope - rate * dt / tau) * decay;
    }
    const auto cut = [&](int first, int end, double most) {
        double length = 0; // the trunk's joints turn about much the same axis, so their ways add up
        for (int i = first; i < end; i += 3)
            length += length_of(way.at + i);
        if (length <= most) return;
        for (int i = first; i < end; ++i) {
            way.at[i] *= most / length;
            m.speed.at[i] = way.at[i] / dt;
        }
    };
    cut(0, 3, stride.hips);
    cut(3, 6, stride.turns);
    cut(6, count, stride.turns);
    for (int i = 0; i < count; ++i) {
        m.is.at[i] += way.at[i];
        m.speed.at[i] = std::clamp(m.speed.at[i], -most_speed, most_speed);
    }
    m.target = target;
}

} // namespace aplomb
