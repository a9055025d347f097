// SPDX-License-Identifier: MIT
// The meshes that a character's joints carry (glTF 2.0, sections 3.7.2 and 3.7.3): every primitive of every
// mesh node whose skin uses joints of the figure alone, so that a body, its clothes and its shoes with skins
// of their own come together. The node's own transform does not matter (section 3.7.3.3). Rigid parts are nodes with
// a mesh and without a skin below a joint that no skin moves, as are a robot's: they move with that joint. What hangs
// from a joint of the skinned body is a prop. Morph targets are left out.
#pragma once

#include "io/gltf_nodes.h"
#include "io/skin.h"

#include <string>
#include <vector>

namespace aplomb::io {

struct GltfSkin {
    Skin skin;          // bones hold the inverse bind matrices as they are in the file, without scale
    std::string unread; // why a mesh was not read though it is not broken: it is compressed; or empty
    std::vector<std::string> remarks; // what of it was left out
};

/// `joint_of_node`: of the figure, -1 for other nodes. Refuses a broken skinned mesh by its number and primitive; a
/// broken rigid part, and single vertices that cannot be used with their triangles, are left out with a remark.
GltfSkin read_skin(GltfDocument& document, const std::vector<GltfNode>& nodes,
                   const std::vector<int>& joint_of_node);

} // namespace aplomb::io
