// SPDX-License-Identifier: MIT
// Hands at the ends of a carry. A load that is being taken up or put down stands on something else, which does not move
// with the corrected body: so hands come to the load where they are keyed, hold it there, and move with the body only
// as the load's weight comes onto it. By eye.
#include "clip/check.h"
#include "clip/correct/asking.h"

#include <algorithm>

namespace aplomb {
namespace {

constexpr double taking = 0.4; // seconds, at least
// Of an arm's length: near straight, an elbow's angle goes as the root of the length that is left, and a hand whose wrist is at
// its limit tips with it; so an arm whose load moves away in time stays a little bent. At .995 an elbow's lower arm turns twice as
// fast into the stop as what rides along may.
constexpr double smooth_reach = 0.985;

} // namespace

/// 0 where the load is taken up or put down within the clip, 1 while the body carries all of it.
double Asking::from_taken(const aplomb_carry& carry, int t) const {
    const Ramps ramps = ramps_of(shot_, carry);
    double part = 1;
    if (carry.first > 0)
        part = smoothstep((shot_.times[t] - shot_.times[carry.first]) / std::max(ramps.up, taking));
    if (carry.last + 1 < shot_.count)
        part = std::min(
            part, smoothstep((shot_.times[carry.last] - shot_.times[t]) / std::max(ramps.down, taking)));
    return part;
}

bool Asking::carries(int arm, int t) const {
    const aplomb_carry* all = shot_.given.carries;
    return std::any_of(all, all + shot_.given.carry_count, [&](const aplomb_carry& carry) {
        const auto holds = [&](int holder) {
            return holder >= 0 && rides_on(figure_, holder, figure_.limbs[arm].upper);
        };
        return carry.first <= t && t <= carry.last &&
               (holds(carry.load.holder[0]) || holds(carry.load.holder[1]));
    });
}

/// For a load that both hands hold level.
void Asking::find_hands(const aplomb_carry& carry, const Load& load) {
    if (!load.level) return;
    for (int t = carry.first; t <= carry.last; ++t)
        riding_[t] = std::max(riding_[t], from_taken(carry, t));
    const auto reach = [&](int t, double apart) {
        for (const int arm : load.arm)
            if (!carries(arm, t))
                reaching_[arm][t] = std::max(reaching_[arm][t], smoothstep(1 - apart / taking));
    };
    for (int t = carry.first - 1; t >= 0 && shot_.times[carry.first] - shot_.times[t] < taking; --t)
        reach(t, shot_.times[carry.first] - shot_.times[t]);
    for (int t = carry.last + 1; t < shot_.count && shot_.times[t] - shot_.times[carry.last] < taking; ++t)
        reach(t, shot_.times[t] - shot_.times[carry.last]);
}

void Asking::put_hands(int t, Carriage& carriage) const {
    carriage.level.ride = riding_[t];
    if (shot_.count > 1) carriage.level.reach = smooth_reach;
    for (int limb = 0; limb < figure_.limb_count; ++limb)
        if (reaching_[limb]) carriage.with_chest[limb] = 1 - reaching_[limb][t];
}

} // namespace aplomb
