// SPDX-License-Identifier: MIT
// Where the balance point must stay, as a solver takes it: half-planes of the ground that need not be the edges of a polygon.
#pragma once

#include "aplomb/aplomb.h"
#include "moment/ground.h"

namespace aplomb {

inline constexpr int max_half_planes = APLOMB_MAX_EDGES + 2; // a line has its two ends beside its sides

/// normal . p <= bound for each; unit normals outwards, bounds in metres with the margin asked for already taken off.
struct HalfPlanes {
    int count = 0;
    Vec2 normal[max_half_planes];
    double bound[max_half_planes];
};

} // namespace aplomb
