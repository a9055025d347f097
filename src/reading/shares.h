// SPDX-License-Identifier: MIT
// How the contacts divide the weight.
//
// Forces f >= 0 at the bearing points, in parts of the weight, balance it when sum f = 1 and sum f x = p,
// with p the balance point. More than three points leave the forces open: the best estimate is the evenest
// pressure, least sum f^2 / w, and the exact range of a contact's share is the optimum of a linear programme,
// which sits on at most three points.
#pragma once

#include "support/situation.h"

namespace aplomb {

inline constexpr int max_bearing_points = APLOMB_MAX_CONTACTS * max_sole_points;

struct BearingPoint {
    Vec2 place;
    double weight = 1; // w: how readily it takes force
};

/// The forces with the least sum f^2 / w. `p` must lie in the points' hull.
void even_forces(const BearingPoint* points, int count, const Vec2& p, double* forces);

struct ShareRange {
    double lowest = 0, highest = 1;
};
/// What the points of `part` can bear together while those of `others` bear the rest. `p` must lie in the
/// hull of both.
ShareRange share_range(const Area& part, const Area& others, const Vec2& p);

struct Share {
    double best = 0;
    ShareRange range;
    Vec3 centre;      // of the weight on the contact; the middle of its points where it bears none
    double place = 0; // along the sole, 0 heel to 1 tip; NaN where it bears none
};

/// One per contact of the stance. A balance point outside the area counts as the area's nearest point.
void find_shares(const Situation& s, const Area& area, Share* shares);

} // namespace aplomb
