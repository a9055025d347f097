// SPDX-License-Identifier: MIT
// The meshes that a character's joints carry (glTF 2.0, sections 3.7.2 and 3.7.3): every primitive of every
// mesh node whose skin uses joints of the figure alone, so that a body, its clothes and its shoes with skins
// of their own come together. The node's own transform does not matter (section 3.7.3.3). Morph targets are
// left out.
#pragma once

#include "io/gltf_document.h"
#include "io/skin.h"

#include <string>
#include <vector>

namespace aplomb::io {

struct GltfSkin {
    Skin skin;          // bones hold the inverse bind matrices as they are in the file, without scale
    std::string unread; // why a mesh was not read though it is not broken: it is compressed; or empty
    std::vector<std::string> remarks; // what of it was left out
};

/// `joint_of_node`: of the figure, -1 for other nodes. Refuses a broken mesh by its number and primitive; single
/// vertices that cannot be used are left out with their triangles.
GltfSkin read_skin(GltfDocument& document, const std::vector<int>& joint_of_node);

} // namespace aplomb::io
