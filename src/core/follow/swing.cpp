// SPDX-License-Identifier: MIT
#include "follow/swing.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "follow/turns.h"

namespace aplomb {
namespace {

constexpr double still = 1e-6; // radians: less is no motion

/// False where all_within() surely is.
bool may_be_within(const FollowChain& chain, const double* modes, double most) {
    const double least = 1.001 * most;
    return std::fabs(modes[0]) <= least * chain.reach[0] && std::fabs(modes[1]) <= least * chain.reach[1];
}
bool all_within(const FollowChain& chain, const double* modes, double most) {
    for (int32_t p = 0; p < chain.joint_pair_count(); ++p) {
        const Vec3Pair turn = turns_of(chain, modes, chain.joint_pairs[p]);
        const Pair square = dot(turn, turn);
        if (!(square[0] < most * most && square[1] < most * most)) return false;
    }
    return true;
}

void set_to_rest(const FollowChain& chain, const ChainState& state) {
    std::fill(state.place, state.place + chain.axis_count, 0.0);
    std::fill(state.speed, state.speed + chain.axis_count, 0.0);
}

/// What stiffens a chain, as ModePair has it, each twice side by side.
struct Stiffeners {
    Pair by[stiffenings];

    explicit Stiffeners(const Drive& drive) {
        const Vec3 &w = drive.turning, &a = drive.acceleration;
        const double each[stiffenings] = {w.x * w.x, w.y * w.y, w.z * w.z, w.x * w.y, w.x * w.z,
                                          w.y * w.z, a.x,       a.y,       a.z};
        for (int i = 0; i < stiffenings; ++i)
            by[i] = Pair{each[i], each[i]};
    }
    /// By how much two modes are stiffer than at rest, over their stiffness: they always stay stiff.
    Pair stiffer(const ModePair& mode) const {
        constexpr double most = 0.5;
        Pair sum = mode.stiffening[0] * by[0];
        for (int i = 1; i < stiffenings; ++i)
            sum += mode.stiffening[i] * by[i];
        return lesser(greater(sum, Pair{-most, -most}), Pair{most, most});
    }
};

/// Of two modes: a chain's torques in the measure of its shape, whose column for them begins at `shape`.
struct Push {
    Pair torque = {}, impulse = {};

    Push(const double* shape, ptrdiff_t width, const Torques& torques) {
        const auto add = [this](Pair by, Pair steady, Pair sudden) {
            torque += by * steady, impulse += by * sudden;
        };
        for (ptrdiff_t i = 0; i < width; i += 2, shape += 2 * width) {
            add(pair_at(shape), torques.steady[i], torques.sudden[i]);
            add(pair_at(shape + width), torques.steady[i + 1], torques.sudden[i + 1]);
        }
    }
};

/// Moves a chain's modes on; `answer`: where they would come to rest. What stiffens pulls with the mean of its pull at either
/// end of the frame.
void move_modes(const FollowChain& chain, const Drive& drive, const PropagatorPair* propagators,
                const ChainState& state, double* answer) {
    const Stiffeners stiffeners(drive);
    const ptrdiff_t count = chain.pair_count;
    const double* const shape = chain.shape;
    const ModePair* const modes = chain.pairs;
    double *const place = state.place, *const speed = state.speed;
    for (ptrdiff_t p = 0; p < count; ++p) {
        const ptrdiff_t m = 2 * p;
        const ModePair& mode = modes[p];
        const PropagatorPair& by = propagators[p];
        const Push push(shape + m, 2 * count, drive.torques);
        const Pair half = 0.5 * stiffeners.stiffer(mode), to_rest = 1.0 - by.place_of_place,
                   back = half * to_rest;
        const Pair rest = push.torque * mode.softness, was = pair_at(place + m),
                   v = pair_at(speed + m) + push.impulse;
        // It comes to rest at `rest` less `half` of both places, so its next place is solved for.
        const Pair is =
            (by.place_of_place * was + by.place_of_speed * v + to_rest * rest - back * was) / (1.0 + back);
        const Pair off = was - (rest - half * (was + is));
        put(place + m, is);
        put(speed + m, by.speed_of_place * off + by.speed_of_speed * v);
        put(answer + m, rest);
    }
}

} // namespace

void swing_on(const FollowChain& chain, const Drive& drive, double seconds, bool usual, Rest rest,
              const ChainState& state) {
    PropagatorPair own[APLOMB_MAX_CHAIN_JOINTS];
    if (!usual) {
        for (int32_t p = 0; p < chain.pair_count; ++p)
            own[p] = make_propagator(chain.pairs[p].oscillators, seconds);
    }
    double answer[max_swing_axes];
    move_modes(chain, drive, usual ? chain.usual : own, state, answer);
    if (rest == Rest::comes && may_be_within(chain, state.place, still) &&
        all_within(chain, state.place, still) && all_within(chain, state.speed, still * chain.rate[0]) &&
        all_within(chain, answer, still))
        set_to_rest(chain, state);
}

bool is_at_rest(const FollowChain& chain, const ChainState& state) {
    const auto zero = [](double x) { return x == 0; };
    return std::all_of(state.place, state.place + chain.axis_count, zero) &&
           std::all_of(state.speed, state.speed + chain.axis_count, zero);
}

} // namespace aplomb
