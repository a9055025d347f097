// SPDX-License-Identifier: MIT
// The nodes of a glTF file and their transforms.
#pragma once

#include "base/rotation.h"
#include "io/gltf_document.h"

#include <string>
#include <vector>

namespace aplomb::io {

/// x -> translation + rotation (scale x), as glTF composes it.
struct NodeTransform {
    Vec3 translation;
    Quat rotation;
    Vec3 scale = {1, 1, 1};
};

struct GltfNode {
    std::string name;
    std::string label; // "node 3 ('Hips')", for messages
    int parent = -1;
    std::vector<int> children;
    NodeTransform transform;
    bool has_matrix = false;
    bool sheared = false; // its matrix is not translation, rotation and scale
    bool bare = true;     // no mesh, camera or light hangs on it
};

/// Refuses a node with two parents, or one that is its own ancestor.
std::vector<GltfNode> read_nodes(const GltfDocument& document);

/// The path from the outermost node to the node itself.
std::vector<int> path_to(const std::vector<GltfNode>& nodes, int node);

/// The scale of a node that has joints below it: of one size along all axes, with its signs. Refuses uneven scale,
/// shear and zero.
Vec3 even_scale(const GltfNode& node, const Vec3& scale);

} // namespace aplomb::io
