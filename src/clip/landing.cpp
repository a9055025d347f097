// SPDX-License-Identifier: MIT
#include "clip/landing.h"

#include <algorithm>
#include <cmath>

#include "base/rotation.h"

namespace aplomb {
namespace {

constexpr double looked_back = 1.0 / 24; // seconds over which the speed is taken: recordings tremble
constexpr double enough = 0.9;      // of the model's depth: recorded landings scatter by a tenth about it
constexpr double least_speed = 0.2; // metres per second: slower, a foot is only set down

/// The speed downwards at touchdown, half-way between the last frame in the air and the first that stands.
double speed_down(const Heights& hips, int flown, int touchdown, double gravity) {
    const double* t = hips.times;
    const int last = touchdown - 1;
    int before = last;
    while (before > flown && t[last] - t[before] < looked_back * (1 - 1e-9))
        --before;
    if (before == last) return (hips.height[last] - hips.height[touchdown]) / (t[touchdown] - t[last]);
    const double mean = (hips.height[before] - hips.height[last]) / (t[last] - t[before]);
    return mean + gravity * 0.5 * (t[touchdown] - t[before]);
}

} // namespace

Landing::Landing(const Heights& hips, const aplomb_give& give, int flown, int touchdown, int leaves,
                 double gravity)
    : give_(give) {
    last_ = touchdown;
    if (touchdown < 1) return;
    speed_ = speed_down(hips, flown, touchdown, gravity);
    if (!(speed_ > least_speed)) return;
    const double turns = give.rate * std::sqrt(1 - give.damping * give.damping);
    const double start = hips.times[touchdown], whole = 2 * pi / give.rate;
    while (last_ + 1 < leaves && hips.times[last_ + 1] - start <= whole)
        ++last_;
    // A body that lands crouched stands higher in the end.
    const double from = std::max(hips.height[touchdown], hips.height[last_]);
    const double keyed = from - *std::min_element(hips.height + touchdown, hips.height + last_ + 1);
    const double deepest = at(std::acos(give.damping) / turns, 1);
    part_ = std::max(0.0, 1 - keyed / (enough * deepest));
}

double Landing::at(double seconds) const {
    return at(seconds, part_);
}

/// The give until it is back at 0; from then on 0.
double Landing::at(double seconds, double part) const {
    double place = 0, velocity = part * speed_;
    if (!(seconds > 0) || seconds * give_.rate > 10) return 0;
    aplomb_give_step(&give_, 0, seconds, &place, &velocity, nullptr);
    const double turns = give_.rate * std::sqrt(1 - give_.damping * give_.damping);
    return seconds * turns < pi ? place : 0;
}

} // namespace aplomb
