// SPDX-License-Identifier: MIT
#include "follow/loop.h"

#include <algorithm>
#include <cstddef>
#include <cstring>

#include "follow/state.h"

namespace aplomb {
namespace {

/// Limits act only on what is written, and modes do not move each other, so a round is linear in each mode's place and speed:
/// x0 becomes E x0 + b. Three rounds show E and b; the x0 that returns to itself is (I - E)^-1 b.
class Shot {
public:
    Shot(const Follow& follow, double* state, const ShotInput& shot, double* rotations)
        : follow_(follow), state_(state), s_(shot), out_(rotations) {}

    void follow() {
        reset_state(follow_, state_);
        if (s_.closed) {
            for (int32_t i = 0; i < follow_.chain_count; ++i) {
                if (follow_.chains[i].set.on) close(follow_.chains[i]);
            }
            copy_pose(0);
            turn_joints(follow_, state_, input(0).pose, to(0));
        }
        for (int32_t k = s_.closed ? 1 : 0; k < s_.frame_count; ++k) {
            copy_pose(k);
            step(follow_, state_, input(k), s_.closed ? Rest::never : Rest::comes, to(k));
        }
    }

private:
    size_t width() const { return static_cast<size_t>(follow_.figure->joint_count); }
    const double* of(const double* array, int32_t frame, size_t each) const {
        return array ? array + static_cast<size_t>(frame) * each * width() : nullptr;
    }
    double seconds(int32_t frame) const {
        if (frame == 0) return 0;
        return s_.times ? s_.times[frame] - s_.times[frame - 1] : s_.frame_time;
    }
    FollowInput input(int32_t frame) const {
        FollowInput in;
        in.pose = {of(s_.translations, frame, 3), of(s_.rotations, frame, 4), false};
        in.keyed = {of(s_.keyed_translations, frame, 3), of(s_.keyed_rotations, frame, 4), false};
        in.seconds = seconds(frame);
        return in;
    }
    double* to(int32_t frame) const { return out_ + static_cast<size_t>(frame) * 4 * width(); }
    void copy_pose(int32_t frame) {
        const double* from = of(s_.rotations, frame, 4);
        if (to(frame) != from) std::memmove(to(frame), from, 4 * width() * sizeof(double));
    }

    void close(const FollowChain& chain) {
        enum { from_rest, from_place, from_speed, rounds };
        double ends[rounds][2 * max_swing_axes]; // places, then speeds
        const int32_t count = chain.axis_count;
        ChainState state(chain, state_);
        for (int round = from_rest; round < rounds; ++round) {
            come_to_the_seam(chain);
            for (int32_t m = 0; m < count; ++m)
                state.place[m] = round == from_place,
                state.speed[m] = round == from_speed ? chain.rate[m] : 0.0;
            for (int32_t k = 1; k < s_.frame_count; ++k)
                move(chain, k);
            std::copy(state.place, state.place + count, ends[round]);
            std::copy(state.speed, state.speed + count, ends[round] + count);
        }
        for (int32_t m = 0; m < count; ++m) {
            const int32_t p = m, v = count + m;
            const double *rest = ends[from_rest], *place = ends[from_place], *speed = ends[from_speed];
            // I - E of this mode, whose modes do not move each other.
            const double a = 1 - (place[p] - rest[p]), b = (rest[p] - speed[p]) / chain.rate[m];
            const double c = rest[v] - place[v], d = 1 - (speed[v] - rest[v]) / chain.rate[m],
                         whole = a * d - b * c;
            state.place[m] = (d * rest[p] - b * rest[v]) / whole;
            state.speed[m] = (a * rest[v] - c * rest[p]) / whole;
        }
        cross_the_seam(chain);
    }
    void move(const FollowChain& chain, int32_t frame) {
        move_chain_state(follow_, chain, state_, input(frame), Rest::never);
    }
    /// Sets the drivers as they are where the last frame becomes the first.
    void come_to_the_seam(const FollowChain& chain) {
        state_[state_frames] = 0;
        for (int32_t k = std::max(0, s_.frame_count - 4); k < s_.frame_count; ++k)
            move(chain, k);
        cross_the_seam(chain);
    }
    /// Moves the drivers from the last frame to where the character stands in the first one.
    void cross_the_seam(const FollowChain& chain) {
        ChainState state(chain, state_);
        for (int32_t k = 0; k < chain.joint_count; ++k)
            seam_[k] = state.driver(k);
        set_drivers(follow_, chain, input(0), state);
        for (int32_t k = 0; k < chain.joint_count; ++k) {
            ChainState::Driver first = state.driver(k);
            const Quat turn = first.attitude * conjugate(seam_[k].attitude);
            first.velocity = rotate(turn, seam_[k].velocity);
            first.end_velocity = rotate(turn, seam_[k].end_velocity);
            state.set_driver(k, first);
        }
    }

    const Follow& follow_;
    double* state_;
    const ShotInput& s_;
    double* out_;
    ChainState::Driver seam_[APLOMB_MAX_CHAIN_JOINTS];
};

} // namespace

void follow_shot(const Follow& follow, double* state, const ShotInput& shot, double* rotations) {
    Shot(follow, state, shot, rotations).follow();
}

} // namespace aplomb
