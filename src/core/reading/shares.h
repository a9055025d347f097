// SPDX-License-Identifier: MIT
// How the contacts divide the weight: the best estimate is by the evenest pressure (support/even_forces.h), and the
// exact range of a contact's share is the optimum of a linear programme, which sits on at most three points.
#pragma once

#include "moment/key.h"
#include "support/area.h"
#include "support/even_forces.h"

namespace aplomb {

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
void find_shares(const Key& s, const Area& area, Share* shares);

} // namespace aplomb
