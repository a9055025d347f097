// SPDX-License-Identifier: MIT
#include "io/skin.h"

namespace aplomb::io {
namespace {

/// x -> turn x + place.
struct Affine {
    Mat3 turn;
    Vec3 place;
};

std::vector<Affine> place_bones(const Skin& skin, const std::vector<SkeletonJoint>& joints,
                                const Pose& pose) {
    std::vector<Vec3> places;
    std::vector<Quat> turns;
    for (std::size_t i = 0; i < joints.size(); ++i) {
        const Quat own = normalized(pose.rotations[i]);
        if (joints[i].parent < 0) {
            places.push_back(pose.translations[i]);
            turns.push_back(own);
            continue;
        }
        const auto parent = static_cast<std::size_t>(joints[i].parent);
        places.push_back(places[parent] + rotate(turns[parent], pose.translations[i]));
        turns.push_back(normalized(turns[parent] * own));
    }
    std::vector<Affine> placed;
    for (const Bone& bone : skin.bones) {
        const auto joint = static_cast<std::size_t>(bone.joint);
        placed.push_back(
            {to_matrix(turns[joint]) * bone.turn, places[joint] + rotate(turns[joint], bone.place)});
    }
    return placed;
}

} // namespace

std::vector<Vec3> skinned(const Skin& skin, const std::vector<SkeletonJoint>& joints, const Pose& pose) {
    const std::vector<Affine> bones = place_bones(skin, joints, pose);
    std::vector<Vec3> positions(skin.bound.size());
    for (std::size_t v = 0; v < positions.size(); ++v)
        for (std::size_t k = 0; k < 4; ++k) {
            if (skin.influences[v][k] < 0) continue;
            const Affine& bone = bones[static_cast<std::size_t>(skin.influences[v][k])];
            positions[v] += (bone.turn * skin.bound[v] + bone.place) * skin.weights[v][k];
        }
    return positions;
}

} // namespace aplomb::io
