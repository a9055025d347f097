// SPDX-License-Identifier: MIT
#include "follow/swing_points.h"

namespace aplomb {
namespace {

/// Places a chain's joints by their rotations; those of a rigid chain in their rest shape. In one pass after the other, so that a
/// processor may work on several joints at once.
void place_chain(const FollowChain& chain, const QuatPair* rotations, const PoseReader& pose,
                 const Placement& at, PlacedPair* placed) {
    const int32_t count = chain.joint_pair_count();
    // The joint before is this one's parent: a chain holds every joint between its first and its last.
    double attitude[2 * max_joint_pairs + 1][4];
    put(attitude[0], at.rotation);
    Quat q = at.rotation;
    for (int32_t p = 0; p < count; ++p) {
        const QuatPair& turn = chain.set.rigid ? chain.joint_pairs[p].rest_rotation : rotations[p];
        q = q * turn[0], put(attitude[2 * p + 1], q);
        q = q * turn[1], put(attitude[2 * p + 2], q);
    }
    const auto both = [&](int32_t k) {
        const double *a = attitude[k], *b = attitude[k + 1];
        return QuatPair{Pair{a[0], b[0]}, Pair{a[1], b[1]}, Pair{a[2], b[2]}, Pair{a[3], b[3]}};
    };
    Vec3 position = at.position;
    for (int32_t p = 0; p < count; ++p) {
        const JointPair& joints = chain.joint_pairs[p];
        const Vec3Pair away = rotate(both(2 * p), pose.translations(joints.joint));
        const Vec3 start = position + away[0];
        position = start + away[1];
        placed[p].attitude = both(2 * p + 1);
        placed[p].point = side_by_side(start, position) + rotate(placed[p].attitude, joints.swing_point);
    }
}

} // namespace

SwingPoints::SwingPoints(const Follow& follow, const FollowInput& input)
    : follow_(follow), input_(input), pose_(*follow.figure, input.pose),
      keyed_(*follow.figure, input.keyed.rotations ? input.keyed : input.pose) {
    place_bearers(pose_, bearers_);
    if (input.keyed.rotations) place_bearers(keyed_, keyed_bearers_);
}

void SwingPoints::place(const FollowChain& chain, const QuatPair* rotations, PlacedPair* placed) const {
    place_chain(chain, rotations, pose_, bearers_[chain.bearer].get(), placed);
    if (chain.set.own_motion < 1) take_out_key(chain, placed);
}

void SwingPoints::place_bearers(const PoseReader& pose, BearerPlace* world) const {
    const auto place = [&](int32_t i, const Vec3& translation, const Quat& rotation) {
        const int32_t parent = follow_.bearer_parent[i];
        const Placement at = parent < 0 ? input_.character : world[parent].get();
        world[i].set({to_world(at, translation), at.rotation * rotation});
    };
    const int32_t count = follow_.bearer_count;
    for (int32_t i = 0; i < count; i += 2) {
        const bool both = i + 1 < count;
        const int32_t joint[2] = {follow_.bearers[i], follow_.bearers[both ? i + 1 : i]};
        const Vec3Pair translations = pose.translations(joint);
        const QuatPair rotations = pose.rotations(joint);
        place(i, translations[0], rotations[0]);
        if (both) place(i + 1, translations[1], rotations[1]);
    }
}

/// Leaves of the keyed motion what `own_motion` says; the correction's stays.
void SwingPoints::take_out_key(const FollowChain& chain, PlacedPair* placed) const {
    const double own = chain.set.own_motion;
    const Placement& character = input_.character;
    const Vec3Pair place = side_by_side(character.position, character.position);
    const QuatPair turn = side_by_side(character.rotation, character.rotation);
    PlacedPair keyed[max_joint_pairs];
    const bool corrected = input_.keyed.rotations != nullptr;
    if (corrected) {
        QuatPair rotations[max_joint_pairs];
        keyed_.read(chain, rotations);
        place_chain(chain, rotations, keyed_, keyed_bearers_[chain.bearer].get(), keyed);
    }
    for (int32_t p = 0; p < chain.joint_pair_count(); ++p) {
        const Vec3Pair key = corrected ? keyed[p].point : placed[p].point;
        const JointPair& joints = chain.joint_pairs[p];
        const Vec3Pair rest = place + rotate(turn, joints.rest_point);
        placed[p].point = rest + ((placed[p].point - key) + (key - rest) * own);
    }
}

} // namespace aplomb
