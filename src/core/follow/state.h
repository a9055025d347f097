// SPDX-License-Identifier: MIT
// What a character remembers, as plain numbers in the caller's memory.
#pragma once

#include "base/pair_rotation.h"
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
          driver_(speed + 2 * chain.pair_count), joint_count_(chain.joint_count) {}

    double* const place; // of each mode, in pairs
    double* const speed;

    struct Driver {
        Vec3 point, velocity, end_velocity;
        Quat attitude;
    };
    Driver driver(int joint) const {
        const double* d = driver_ + state_drive * joint;
        return {{d[0], d[1], d[2]}, {d[3], d[4], d[5]}, {d[6], d[7], d[8]}, {d[9], d[10], d[11], d[12]}};
    }
    void set_driver(int joint, const Driver& driver) const {
        double* d = driver_ + state_drive * joint;
        put(d, driver.point), put(d + 3, driver.velocity), put(d + 6, driver.end_velocity),
            put(d + 9, driver.attitude);
    }

    struct DriverPair {
        Vec3Pair point, velocity, end_velocity;
        QuatPair attitude;
    };
    /// Of a pair of the chain's joints.
    DriverPair drivers(int pair) const {
        const double* d = driver_ + state_drive * 2 * pair;
        const double* e = d + (2 * pair + 1 < joint_count_ ? state_drive : 0);
        const auto at = [=](int i) { return Pair{d[i], e[i]}; };
        return {{at(0), at(1), at(2)},
                {at(3), at(4), at(5)},
                {at(6), at(7), at(8)},
                {at(9), at(10), at(11), at(12)}};
    }
    void set_drivers(int pair, const DriverPair& drivers) const {
        for (int i = 0; i < 2 && 2 * pair + i < joint_count_; ++i)
            set_driver(2 * pair + i,
                       {drivers.point[i], drivers.velocity[i], drivers.end_velocity[i], drivers.attitude[i]});
    }

private:
    double* driver_;
    int32_t joint_count_;
};

inline int chain_state_size(const FollowChain& chain) {
    return 4 * chain.pair_count + state_drive * chain.joint_count;
}

} // namespace aplomb
