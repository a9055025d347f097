// SPDX-License-Identifier: MIT
// Over which edge a pose would tip, how far it has to turn for that, and what the turn costs.
//
// With r from the edge to the centre of mass and u against gravity, both at right angles to the edge: the
// centre of mass is over the edge when r has turned onto u, and has then risen by |r| |u| - r.u. On level
// ground that is sqrt(h^2 + m^2) - h for a height h and a margin m.
#pragma once

#include "moment/key.h"
#include "support/area.h"

namespace aplomb {

struct Tip {
    double margin = 0;
    Vec2 from, to;                // the nearest edge; one point where the area ends in one
    Vec2 outwards;                // unit
    double angle = 0, energy = 0; // negative and 0 where the centre of mass is past the edge
};

Tip find_tip(const Ground& ground, const Area& area, const Vec2& balance_point, const Vec3& centre,
             double mass);

} // namespace aplomb
