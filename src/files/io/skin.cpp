// SPDX-License-Identifier: MIT
#include "io/skin.h"

#include <utility>

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

void keep_outside_out(Skin& skin) {
    const auto mirrors = [&](std::int32_t vertex) {
        const auto bone = static_cast<std::size_t>(skin.influences[static_cast<std::size_t>(vertex)][0]);
        const Mat3& turn = skin.bones[bone].turn;
        return dot(cross(turn.row[0], turn.row[1]), turn.row[2]) < 0;
    };
    for (std::size_t i = 0; i + 2 < skin.triangles.size(); i += 3)
        if (mirrors(skin.triangles[i])) std::swap(skin.triangles[i + 1], skin.triangles[i + 2]);
}

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
