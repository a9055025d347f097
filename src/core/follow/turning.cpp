// SPDX-License-Identifier: MIT
#include "follow/turning.h"

#include "follow/room.h"
#include "follow/turns.h"
#include "model/swing_twist.h"

namespace aplomb {
namespace {

/// Not below zero for turns that surely end far from the joints' limits.
Pair spare_room(const JointPair& joints, const QuatPair& rotation, const Pair& angle) {
    const auto turned = [&](int i) {
        const Pair* by = joints.turn_of_rotation[i];
        return by[0] * rotation.x + by[1] * rotation.y + by[2] * rotation.z + by[3] * rotation.w;
    };
    const QuatPair turn = {turned(0), turned(1), turned(2), turned(3)};
    const Pair cosine = square_root(turn.w * turn.w + turn.y * turn.y);
    const Pair sine[3] = {turn.x * turn.w + turn.z * turn.y, turn.w < 0 ? -turn.y : turn.y,
                          turn.z * turn.w - turn.x * turn.y};
    Pair room[3];
    for (int a = 0; a < 3; ++a)
        room[a] = least_room(joints.lowest[a], joints.highest[a], sine[a], cosine);
    return lesser(cosine - least_half_swing_cosine,
                  lesser(lesser(room[0], room[1]), room[2]) - ample_room * angle);
}

} // namespace

void turn_chain(const Figure& figure, const FollowChain& chain, const ChainState& state,
                const QuatPair* keyed, const PoseReader& pose, void* rotations) {
    const int32_t count = chain.joint_pair_count();
    for (int32_t p = 0; p < count; ++p) {
        const JointPair& joints = chain.joint_pairs[p];
        Vec3Pair turn = turns_of(chain, state.place, joints);
        const Pair angle = square_root(dot(turn, turn));
        Pair spare = chain.set.limit - 2.0 * angle;
        if (joints.limited) spare = lesser(spare, spare_room(joints, keyed[p], angle));
        if (!(spare[0] >= 0 && spare[1] >= 0)) turn = shortened(figure, chain, p, keyed[p], turn, spare);
        const QuatPair turned = keyed[p] * exp_rotations(turn);
        for (int i = 0; i < joints.count; ++i) {
            if (turn.x[i] == 0 && turn.y[i] == 0 && turn.z[i] == 0) continue;
            pose.write(turned[i], rotations, joints.joint[i]);
        }
    }
}

} // namespace aplomb
