// SPDX-License-Identifier: MIT
// Vertices that the joints carry along: linear blend (glTF 2.0, section 3.7.3.3).
#pragma once

#include "io/character_file.h"

#include <array>
#include <cstdint>
#include <vector>

namespace aplomb::io {

/// A joint as the vertices see it.
struct Bone {
    int joint = 0; // of the figure
    // From where the vertices are bound into the joint's frame: x -> turn x + place, with all scale.
    Mat3 turn = Mat3::identity();
    Vec3 place;
    bool rigid = false; // of a part without a skin: it tells where the part is, not where a joint is bound
};

struct Skin {
    std::vector<Bone> bones;
    std::vector<Vec3> bound;                    // per vertex
    std::vector<std::array<int, 4>> influences; // per vertex; bones, -1: none
    std::vector<std::array<double, 4>> weights; // per vertex, summing to 1
    std::vector<std::int32_t> triangles;        // 3 vertices each
};

/// Turns over the triangles that a mirror in a bone turned inside out.
void keep_outside_out(Skin& skin);

/// Where the vertices are in a pose of the figure.
std::vector<Vec3> skinned(const Skin& skin, const std::vector<SkeletonJoint>& joints, const Pose& pose);

} // namespace aplomb::io
