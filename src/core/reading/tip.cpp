// SPDX-License-Identifier: MIT
#include "reading/tip.h"

#include <algorithm>
#include <cmath>

namespace aplomb {

Tip find_tip(const Ground& ground, const Area& area, const Vec2& balance_point, const Vec3& centre,
             double mass) {
    Tip tip;
    int edge = 0;
    tip.margin = margin_of(area, balance_point, &edge);
    tip.outwards = area.normal[edge];
    tip.from = area.corner[area.edge_corner[edge]];
    tip.to = area.corner[(area.edge_corner[edge] + 1) % area.count];
    const bool on_line = std::fabs(dot(tip.outwards, tip.to) - area.offset[edge]) < 1e-9;
    if (!on_line) tip.to = tip.from; // the end of a line: it tips over a point

    const Vec3 out = ground.fore * tip.outwards.fore + ground.left * tip.outwards.left;
    const Vec3 along = cross(ground.normal, out);
    const Vec3 r = reject(centre - ground.lift(tip.from), along);
    const Vec3 u = reject(normalized(ground.felt) * -1.0, along);
    const double turned = dot(along, cross(r, u)), level = dot(r, u);
    tip.angle = arctan2(turned, level);
    if (tip.angle > 0) tip.energy = mass * norm(ground.felt) * std::max(0.0, norm(r) * norm(u) - level);
    return tip;
}

} // namespace aplomb
