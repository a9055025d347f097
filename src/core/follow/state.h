// SPDX-License-Identifier: MIT
// What a character remembers, as plain numbers in the caller's memory.
#pragma once

#include "follow/plan.h"

namespace aplomb {

// The head of a state; `state_turn`: the character's, a quaternion.
inline constexpr int state_mark = 0, state_frames = 1, state_seconds = 2, state_turn = 3, state_head = 7;
// What drove each joint last: swing point, its velocity over the last frame and at that frame's end, attitude.
inline constexpr int state_drive = 13;

/// One chain's part of a state.
class ChainState {
public:
    ChainState(const FollowChain& chain, double* state)
        : place(state + chain.state_offset), speed(place + 2 * chain.pair_count),
          drive_(speed + 2 * chain.pair_count) {}

    double* const place; // of each mode, in pairs
    double* const speed;

    struct Drive {
        Vec3 point, velocity, end_velocity;
        Quat attitude;
    };
    Drive drive(int joint) const {
        const double* d = drive_ + state_drive * joint;
        return {{d[0], d[1], d[2]}, {d[3], d[4], d[5]}, {d[6], d[7], d[8]}, {d[9], d[10], d[11], d[12]}};
    }
    void set_drive(int joint, const Drive& drive) const {
        double* d = drive_ + state_drive * joint;
        put(d, drive.point), put(d + 3, drive.velocity), put(d + 6, drive.end_velocity),
            put(d + 9, drive.attitude);
    }

private:
    double* drive_;
};

inline int chain_state_size(const FollowChain& chain) {
    return 4 * chain.pair_count + state_drive * chain.joint_count;
}

} // namespace aplomb
