// SPDX-License-Identifier: MIT
// The skin as one surface: vertices at the same place (seams of texture or shading) count as one.
#pragma once

#include "figure/steps.h"

namespace aplomb {

/// An edge of one triangle, from the welded corner `low` to `high` (forward) or back.
struct MeshEdge {
    int32_t low, high;
    bool forward;
};

inline bool is_before(const MeshEdge& a, const MeshEdge& b) {
    return a.low < b.low || (a.low == b.low && a.high < b.high);
}
inline bool is_same(const MeshEdge& a, const MeshEdge& b) {
    return a.low == b.low && a.high == b.high;
}

struct WeldedMesh {
    Vec3 origin; // of `places`, in metres and anatomical axes: the middle of the skin
    int32_t vertex_count = 0, triangle_count = 0;
    Vec3* places = nullptr;       // per vertex, in the rest pose
    int32_t* welded = nullptr;    // per vertex: the first one at its place
    int32_t* order = nullptr;     // working memory
    int32_t* triangles = nullptr; // 3 welded corners each, without those that have two corners in one place
    MeshEdge* edges = nullptr;    // 3 per triangle, sorted

    /// Room for the skin's arrays.
    void lay_out(Layout& layout, const aplomb_skin& skin);
    void fill(const aplomb_skin& skin, const Frame& frame);
};

/// Edges without a partner that runs the other way: none in a closed surface.
struct OpenEdges {
    int32_t count = 0, vertex = -1; // an end of the first of them
};
OpenEdges open_edges(const WeldedMesh& mesh);

} // namespace aplomb
