// SPDX-License-Identifier: MIT
// From a skin to the joints of a figure: the skin's joints and the nodes between them, parent before child. Without a skin,
// from the largest tree of nodes.
#pragma once

#include "io/gltf_nodes.h"

#include <string>
#include <vector>

namespace aplomb::io {

struct GltfSkeleton {
    std::vector<int> nodes;     // per joint
    std::vector<int> parents;   // per joint; -1 for joint 0
    std::vector<int> end_nodes; // per joint: the leaf node that marks where a last joint ends, or -1
    std::vector<int> above;     // nodes above joint 0, outermost first
};

/// `skin`: name or number, or empty for the first.
GltfSkeleton read_skeleton(const GltfDocument& document, const std::vector<GltfNode>& nodes,
                           const std::string& skin);

} // namespace aplomb::io
