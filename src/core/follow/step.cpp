// SPDX-License-Identifier: MIT
#include "follow/step.h"

#include <algorithm>

#include "follow/drive.h"
#include "follow/turning.h"

namespace aplomb {
namespace {

struct Chains {
    const FollowChain* first;
    int32_t count;
};

/// `rotations`: those to turn, or null.
void move_chains(const Follow& follow, const Chains& chains, double* state, const FollowInput& input,
                 Rest rest, void* rotations) {
    const int frames = static_cast<int>(state[state_frames]);
    const PoseReader reader(*follow.figure, input.pose);
    const SwingPoints swing_points(follow, input);
    double* const turn = state + state_turn;
    const Quat was = {turn[0], turn[1], turn[2], turn[3]}, is = input.character.rotation;
    Passed passed(input.seconds, state[state_seconds], frames);
    if (frames >= 1) passed.turning = rotate(is, passed.rate_of(conjugate(was) * is));
    const bool usual = input.seconds == follow.frame_time;
    for (int32_t i = 0; i < chains.count; ++i) {
        const FollowChain& chain = chains.first[i];
        if (!chain.set.on) continue;
        QuatPair keyed[max_joint_pairs];
        PlacedPair placed[max_joint_pairs];
        reader.read(chain, keyed);
        swing_points.place(chain, keyed, placed);
        const ChainState chain_state(chain, state);
        Drive drive;
        find_drive(chain, placed, passed, chain_state, drive);
        swing_on(chain, drive, input.seconds, usual, rest, chain_state);
        if (rotations && !is_at_rest(chain, chain_state))
            turn_chain(*follow.figure, chain, chain_state, keyed, reader, rotations);
    }
    state[state_frames] = std::min(frames + 1, 3);
    state[state_seconds] = input.seconds;
    put(turn, is);
}

ChainState chain_state(const FollowChain& chain, const double* state) {
    return ChainState(chain, const_cast<double*>(state)); // read only
}

} // namespace

void reset_state(const Follow& follow, double* state) {
    std::fill(state, state + follow.state_size, 0.0);
    state[state_mark] = follow.mark;
}

void step(const Follow& follow, double* state, const FollowInput& input, Rest rest, void* rotations) {
    if (state[state_frames] > 0 && input.seconds == 0)
        turn_joints(follow, state, input.pose, rotations);
    else
        move_chains(follow, {follow.chains, follow.chain_count}, state, input, rest, rotations);
}
void move_chain_state(const Follow& follow, const FollowChain& chain, double* state, const FollowInput& input,
                      Rest rest) {
    move_chains(follow, {&chain, 1}, state, input, rest, nullptr);
}

void turn_joints(const Follow& follow, const double* state, const HostPose& pose, void* rotations) {
    const PoseReader reader(*follow.figure, pose);
    for (int32_t i = 0; i < follow.chain_count; ++i) {
        const FollowChain& chain = follow.chains[i];
        const ChainState s = chain_state(chain, state);
        if (!chain.set.on || is_at_rest(chain, s)) continue;
        QuatPair keyed[max_joint_pairs];
        reader.read(chain, keyed);
        turn_chain(*follow.figure, chain, s, keyed, reader, rotations);
    }
}

void set_drivers(const Follow& follow, const FollowChain& chain, const FollowInput& input,
                 const ChainState& state) {
    PlacedPair placed[max_joint_pairs];
    QuatPair keyed[max_joint_pairs];
    PoseReader(*follow.figure, input.pose).read(chain, keyed);
    SwingPoints(follow, input).place(chain, keyed, placed);
    for (int32_t p = 0; p < chain.joint_pair_count(); ++p) {
        const ChainState::DriverPair drivers = {placed[p].point, {}, {}, placed[p].attitude};
        state.set_drivers(p, drivers);
    }
}

bool at_rest(const Follow& follow, const double* state) {
    for (int32_t i = 0; i < follow.chain_count; ++i) {
        if (!is_at_rest(follow.chains[i], chain_state(follow.chains[i], state))) return false;
    }
    return true;
}

} // namespace aplomb
