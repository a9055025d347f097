// SPDX-License-Identifier: MIT
#include "follow/loop.h"

#include <algorithm>
#include <cstddef>
#include <cstring>

#include "follow/state.h"

namespace aplomb {
namespace {

/// Limits act only on what is written, so a round is linear: x0 becomes E x0 + b. The x0 that returns to itself is (I - E)^-1 b.
class Shot {
public:
    Shot(const Follow& follow, double* state, const ShotInput& shot, double* rotations)
        : follow_(follow), state_(state), s_(shot), out_(rotations) {}

    void follow() {
        reset_state(follow_, state_);
        if (s_.closed) {
            close();
            write(0);
        }
        for (int32_t k = s_.closed ? 1 : 0; k < s_.frame_count; ++k) {
            move(k);
            write(k);
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
    void move(int32_t frame) {
        move_state(follow_, state_, input(frame), s_.closed ? Rest::never : Rest::comes);
    }
    void write(int32_t frame) {
        double* to = out_ + static_cast<size_t>(frame) * 4 * width();
        const double* from = of(s_.rotations, frame, 4);
        if (to != from) std::memmove(to, from, 4 * width() * sizeof(double));
        turn_joints(follow_, state_, {of(s_.translations, frame, 3), to, false}, to);
    }

    void close() {
        come_to_the_seam();
        for (int32_t k = 1; k < s_.frame_count; ++k)
            move(k);
        for (int32_t i = 0; i < follow_.chain_count; ++i) {
            const FollowChain& chain = follow_.chains[i];
            ChainState state(chain, state_);
            for (int32_t m = 0; m < chain.axis_count; ++m)
                solve(chain.rate[m], chain.damping[m], state.place[m], state.speed[m]);
        }
        cross_the_seam();
    }
    /// Sets the drivers as they are where the last frame becomes the first, and the chains at rest.
    void come_to_the_seam() {
        for (int32_t k = std::max(0, s_.frame_count - 4); k < s_.frame_count; ++k)
            move(k);
        for (int32_t i = 0; i < follow_.chain_count; ++i) {
            const FollowChain& chain = follow_.chains[i];
            ChainState state(chain, state_);
            std::fill(state.place, state.place + chain.axis_count, 0.0);
            std::fill(state.speed, state.speed + chain.axis_count, 0.0);
        }
        cross_the_seam();
    }
    /// Moves the drivers from the last frame to where the character stands in the first one.
    void cross_the_seam() {
        for (int32_t i = 0; i < follow_.chain_count; ++i) {
            const FollowChain& chain = follow_.chains[i];
            if (!chain.set.on) continue;
            ChainState state(chain, state_);
            for (int32_t k = 0; k < chain.joint_count; ++k)
                seam_[k] = state.drive(k);
            set_drive(follow_, chain, input(0), state);
            for (int32_t k = 0; k < chain.joint_count; ++k) {
                ChainState::Drive first = state.drive(k);
                const Quat turn = first.attitude * conjugate(seam_[k].attitude);
                first.velocity = rotate(turn, seam_[k].velocity);
                first.end_velocity = rotate(turn, seam_[k].end_velocity);
                state.set_drive(k, first);
            }
        }
    }

    /// In: where a round takes a mode that starts from rest. Out: the place and speed that return to themselves after a round.
    void solve(double rate, double damping, double& place, double& speed) const {
        double e[4] = {1, 0, 0, 1}, last = -1;
        Propagator p{};
        for (int32_t k = 1; k < s_.frame_count; ++k) {
            const double h = seconds(k);
            if (h != last) p = make_propagator(rate, damping, h), last = h;
            const double n[4] = {p.place_of_place * e[0] + p.place_of_speed * e[2],
                                 p.place_of_place * e[1] + p.place_of_speed * e[3],
                                 p.speed_of_place * e[0] + p.speed_of_speed * e[2],
                                 p.speed_of_place * e[1] + p.speed_of_speed * e[3]};
            std::copy(n, n + 4, e);
        }
        const double a = 1 - e[0], b = -e[1], c = -e[2], d = 1 - e[3], whole = a * d - b * c;
        const double x = (d * place - b * speed) / whole, v = (a * speed - c * place) / whole;
        place = x, speed = v;
    }

    const Follow& follow_;
    double* state_;
    const ShotInput& s_;
    double* out_;
    ChainState::Drive seam_[APLOMB_MAX_CHAIN_JOINTS];
};

} // namespace

void follow_shot(const Follow& follow, double* state, const ShotInput& shot, double* rotations) {
    Shot(follow, state, shot, rotations).follow();
}

} // namespace aplomb
