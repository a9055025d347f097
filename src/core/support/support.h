// SPDX-License-Identifier: MIT
// The region that bears, for solvers and for readings.
#pragma once

#include "figure/figure.h"
#include "support/area.h"
#include "support/half_planes.h"

namespace aplomb {

struct Support {
    HalfPlanes bounds; // for solvers
    Area area;         // for readings
    Area home_area;
    double margin_asked = 0; // capped at half the greatest that the area can give
    double margin = 0;       // of the balance point
};

/// Points of contacts and ends of their home lines on the ground, room for both hulls.
struct GroundPoints {
    int count = 0, home_count = 0;
    Unset<Vec2, APLOMB_MAX_CONTACTS * max_sole_points> point;
    Unset<Vec2, 2 * APLOMB_MAX_CONTACTS> home;
};

/// Reorders the points. `margin`: metres, asked for.
Support make_support(GroundPoints& points, double margin, const Vec2& balance_point);

} // namespace aplomb
