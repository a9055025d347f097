// SPDX-License-Identifier: MIT
// Where the swing points are that drive chains.
#pragma once

#include "follow/plan.h"
#include "follow/pose_reader.h"

namespace aplomb {

/// Input that was checked.
struct FollowInput {
    HostPose pose, keyed; // keyed.rotations null: the pose is the keyed one
    Placement character;  // metres, anatomical axes
    double seconds = 0;
};

/// Two joints of a chain.
struct PlacedPair {
    Vec3Pair point; // the swing points
    QuatPair attitude;
};
inline constexpr int max_joint_pairs = (APLOMB_MAX_CHAIN_JOINTS + 1) / 2;

/// A joint's place that is written before it is read: setting a long array of them to zero costs more than a step takes.
struct BearerPlace {
    UnsetVec3 position;
    double x, y, z, w; // of its rotation

    Placement get() const { return {position, {x, y, z, w}}; }
    void set(const Placement& at) {
        position = at.position;
        x = at.rotation.x, y = at.rotation.y, z = at.rotation.z, w = at.rotation.w;
    }
};

/// Of one frame; what bears the chains is placed once for all of them.
class SwingPoints {
public:
    SwingPoints(const Follow& follow, const FollowInput& input);

    /// Finds those of one chain, whose `rotations` were read from the pose; `placed` has room for its pairs.
    void place(const FollowChain& chain, const QuatPair* rotations, PlacedPair* placed) const;

private:
    void place_bearers(const PoseReader& pose, BearerPlace* world) const;
    void take_out_key(const FollowChain& chain, PlacedPair* placed) const;

    const Follow& follow_;
    const FollowInput& input_;
    PoseReader pose_, keyed_;
    BearerPlace bearers_[max_bearers], keyed_bearers_[max_bearers];
};

} // namespace aplomb
