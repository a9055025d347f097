// SPDX-License-Identifier: MIT
// The cameras of a glTF file (glTF 2.0, section 3.10): one for each node that has one, still or moving.
#pragma once

#include "aplomb/files.h"
#include "io/gltf_animation.h"

#include <vector>

namespace aplomb::io {

class GltfCameras {
public:
    GltfCameras(GltfDocument& document, const std::vector<GltfNode>& nodes);

    int count() const { return static_cast<int>(m_cameras.size()); }
    /// Clip -1: as the nodes stand.
    aplomb_camera at(const std::vector<GltfNode>& nodes, int camera, int clip, double seconds) const;

private:
    struct Camera {
        int node;
        aplomb_camera lens; // without place and rotation
    };
    std::vector<Camera> m_cameras;
    std::vector<Clip> m_clips; // tracks of the cameras' nodes alone
};

} // namespace aplomb::io
