// SPDX-License-Identifier: MIT
#include "figure/mesh_weld.h"

#include <algorithm>
#include <cstdlib>

#include "figure/frame.h"

namespace aplomb {
namespace {

void place_vertices(WeldedMesh& mesh, const aplomb_skin& skin, const Frame& frame) {
    Vec3 lowest{1e300, 1e300, 1e300}, highest{-1e300, -1e300, -1e300};
    for (int32_t v = 0; v < mesh.vertex_count; ++v) {
        const double* p = skin.positions + 3 * static_cast<size_t>(v);
        const Vec3 place = length_in(frame, {p[0], p[1], p[2]});
        mesh.places[v] = place;
        for (int k = 0; k < 3; ++k) {
            lowest[k] = std::min(lowest[k], place[k]);
            highest[k] = std::max(highest[k], place[k]);
        }
    }
    mesh.origin = (lowest + highest) * 0.5;
    for (int32_t v = 0; v < mesh.vertex_count; ++v)
        mesh.places[v] -= mesh.origin;
}

void weld_vertices(WeldedMesh& mesh) {
    const auto compare = [&](int32_t a, int32_t b) {
        const Vec3 &p = mesh.places[a], &q = mesh.places[b];
        for (int k = 0; k < 3; ++k)
            if (p[k] != q[k]) return p[k] < q[k] ? -1 : 1;
        return 0;
    };
    for (int32_t v = 0; v < mesh.vertex_count; ++v)
        mesh.order[v] = v;
    std::sort(mesh.order, mesh.order + mesh.vertex_count, [&](int32_t a, int32_t b) {
        const int order = compare(a, b);
        return order < 0 || (order == 0 && a < b);
    });
    int32_t first = mesh.order[0];
    for (int32_t i = 0; i < mesh.vertex_count; ++i) {
        if (compare(first, mesh.order[i]) != 0) first = mesh.order[i];
        mesh.welded[mesh.order[i]] = first;
    }
}

void take_triangles(WeldedMesh& mesh, const aplomb_skin& skin) {
    mesh.triangle_count = 0;
    for (int32_t i = 0; i < skin.triangle_count; ++i) {
        const int32_t* corners = skin.triangles + 3 * static_cast<size_t>(i);
        int32_t* own = mesh.triangles + 3 * static_cast<size_t>(mesh.triangle_count);
        for (int k = 0; k < 3; ++k)
            own[k] = mesh.welded[corners[k]];
        if (own[0] != own[1] && own[1] != own[2] && own[2] != own[0]) ++mesh.triangle_count;
    }
}

void take_edges(WeldedMesh& mesh) {
    MeshEdge* edge = mesh.edges;
    for (int32_t i = 0; i < mesh.triangle_count; ++i) {
        const int32_t* corners = mesh.triangles + 3 * static_cast<size_t>(i);
        for (int k = 0; k < 3; ++k) {
            const int32_t from = corners[k], to = corners[(k + 1) % 3];
            *edge++ = {std::min(from, to), std::max(from, to), from < to};
        }
    }
    std::sort(mesh.edges, edge, is_before);
}

} // namespace

void WeldedMesh::lay_out(Layout& layout, const aplomb_skin& skin) {
    vertex_count = skin.vertex_count;
    const size_t vertices = static_cast<size_t>(skin.vertex_count);
    const size_t corners = 3 * static_cast<size_t>(skin.triangle_count);
    places = layout.take<Vec3>(vertices);
    welded = layout.take<int32_t>(vertices);
    order = layout.take<int32_t>(vertices);
    triangles = layout.take<int32_t>(corners);
    edges = layout.take<MeshEdge>(corners);
}

void WeldedMesh::fill(const aplomb_skin& skin, const Frame& frame) {
    place_vertices(*this, skin, frame);
    weld_vertices(*this);
    take_triangles(*this, skin);
    take_edges(*this);
}

OpenEdges open_edges(const WeldedMesh& mesh) {
    OpenEdges open;
    const MeshEdge* const end = mesh.edges + 3 * static_cast<size_t>(mesh.triangle_count);
    for (const MeshEdge* first = mesh.edges; first != end;) {
        const MeshEdge* next = first;
        int32_t balance = 0;
        for (; next != end && is_same(*first, *next); ++next)
            balance += next->forward ? 1 : -1;
        if (balance != 0 && open.count == 0) open.vertex = first->low;
        open.count += std::abs(balance);
        first = next;
    }
    return open;
}

} // namespace aplomb
