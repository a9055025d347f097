// SPDX-License-Identifier: MIT
// Convex regions of the ground: the support area, the rest zone, the home lines' hull. A single point and a
// line are regions too; their half-planes then meet back to back.
#pragma once

#include "aplomb/aplomb.h"
#include "moment/ground.h"
#include "support/half_planes.h"

namespace aplomb {

inline constexpr int max_corners = APLOMB_MAX_EDGES;

/// Room for T that is not set to anything; T must be an aggregate of numbers.
template<class T, int count>
struct Unset {
    alignas(T) unsigned char bytes[count * sizeof(T)];
    T* data() { return reinterpret_cast<T*>(bytes); }
};

struct Area {
    int count = 0; // corners, counter-clockwise; 1: a point, 2: a line
    Vec2 corner[max_corners];
    int edge_count = 0; // half-planes normal.p <= offset, unit normals outwards
    Vec2 normal[max_half_planes];
    double offset[max_half_planes];
    int edge_corner[max_half_planes]; // where the edge starts; it ends at the next corner
};

/// The convex hull of `count` points, which are reordered. Past max_corners the corners that matter least are
/// dropped, so the area errs on the small side.
Area convex_hull(Vec2* points, int count);

/// The area's edges, each moved inwards by `margin`.
HalfPlanes moved_inwards(const Area& area, double margin);

/// Signed distance from `p` to the nearest edge, positive inside. `edge` (may be null) gets that edge.
double margin_of(const Area& area, const Vec2& p, int* edge = nullptr);
Vec2 nearest_point(const Area& area, const Vec2& p);
/// The radius of the largest circle inside: the greatest margin that the area can give.
double greatest_margin(const Area& area);

} // namespace aplomb
