// SPDX-License-Identifier: MIT
#include "support/support.h"

#include <algorithm>

namespace aplomb {

Support make_support(GroundPoints& points, double asked, const Vec2& balance_point) {
    Support support;
    support.area = convex_hull(points.point.data(), points.count);
    support.home_area = convex_hull(points.home.data(), points.home_count);

    // Most stances can give the margin easily; only then is the exact greatest one not needed.
    Vec2 middle;
    for (int i = 0; i < support.area.count; ++i)
        middle = middle + support.area.corner[i] * (1.0 / support.area.count);
    support.margin_asked = asked <= 0.5 * margin_of(support.area, middle)
                               ? asked
                               : std::min(asked, 0.5 * greatest_margin(support.area));
    support.bounds = moved_inwards(support.area, support.margin_asked);
    support.margin = margin_of(support.area, balance_point);
    return support;
}

} // namespace aplomb
