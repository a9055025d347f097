// SPDX-License-Identifier: MIT
#include "reading/shares.h"

#include <algorithm>
#include <cmath>
#include <initializer_list>
#include <limits>

namespace aplomb {
namespace {

constexpr double no_weight = 1e-9; // a share below this has no centre

double size_of(const Area& part, const Area& others, const Vec2& p) {
    double size = 1e-6;
    for (const Area* area : {&part, &others}) {
        for (int i = 0; i < area->count; ++i)
            size = std::max(size, norm(area->corner[i] - p));
    }
    return size;
}

/// How far an area reaches from `p` in a direction.
double farthest(const Area& area, const Vec2& direction, const Vec2& p) {
    double most = dot(direction, area.corner[0] - p);
    for (int i = 1; i < area.count; ++i)
        most = std::max(most, dot(direction, area.corner[i] - p));
    return most;
}

/// The hull of the contact's points, or of all the others'.
Area hull_of(const BearingPoints& points, int contact, bool others) {
    Vec2 places[max_bearing_points];
    int n = 0;
    for (int i = 0; i < points.count; ++i) {
        const bool own = i >= points.first[contact] && i < points.first[contact + 1];
        if (own != others) places[n++] = points.point[i].place;
    }
    return convex_hull(places, n);
}

double place_along(const Contact& contact, const Vec3& centre) {
    const Vec3 line = contact.tip - contact.back;
    const double length2 = dot(line, line);
    const double t = length2 > 0 ? dot(centre - contact.back, line) / length2 : 0.0;
    return std::clamp(contact.back_place + t * (contact.tip_place - contact.back_place), 0.0, 1.0);
}

/// Share, centre and place from the forces on the contact's own points.
void settle_share(const Contact& contact, const double* force, Share& share) {
    double sum = 0;
    Vec3 weighted, middle;
    for (int k = 0; k < contact.point_count; ++k) {
        // From the first point, so that a figure far from the origin loses no digits.
        const Vec3 from_first = contact.point[k] - contact.point[0];
        sum += force[k];
        weighted += from_first * force[k];
        middle += from_first / contact.point_count;
    }
    const bool bears = sum > no_weight;
    share.best = std::clamp(sum, share.range.lowest, share.range.highest);
    share.centre = contact.point[0] + (bears ? weighted / sum : middle);
    share.place = bears ? place_along(contact, share.centre) : std::numeric_limits<double>::quiet_NaN();
}

} // namespace

// A share of t is possible where p lies in t part + (1 - t) others, a sum of two convex polygons. Its edges have the
// directions of theirs, whatever t is, and its farthest corner in a direction n is t a + (1 - t) b of their own farthest:
// each edge's n.p <= t n.a + (1 - t) n.b is a bound on t.
ShareRange share_range(const Area& part, const Area& others, const Vec2& p) {
    if (others.count == 0) return {1, 1};
    if (part.count == 0) return {0, 0};
    const double rounding = 1e-15 * size_of(part, others, p);
    double lowest = 0, highest = 1;
    for (const Area* area : {&part, &others}) {
        for (int i = 0; i < area->edge_count; ++i) {
            const Vec2& n = area->normal[i];
            const double other = farthest(others, n, p), slope = farthest(part, n, p) - other;
            if (slope > 0) lowest = std::max(lowest, -(other + rounding) / slope);
            if (slope < 0) highest = std::min(highest, -(other + rounding) / slope);
        }
    }
    // Beyond the hull, or where nothing is open: by rounding alone.
    if (lowest > highest) lowest = highest = 0.5 * (lowest + highest);
    return {std::clamp(lowest, 0.0, 1.0), std::clamp(highest, 0.0, 1.0)};
}

void find_shares(const Key& s, const Area& area, Share* shares) {
    const BearingPoints points(s);
    const Vec2 p = nearest_point(area, s.balance_point);
    double forces[max_bearing_points];
    even_forces(points.point, points.count, p, forces);
    const int count = s.stance.contact_count;
    for (int c = 0; c < count; ++c) {
        if (count == 2 && c == 1) // what one of two leaves
            shares[c].range = {1 - shares[0].range.highest, 1 - shares[0].range.lowest};
        else
            shares[c].range = share_range(hull_of(points, c, false), hull_of(points, c, true), p);
        settle_share(s.stance.contact[c], forces + points.first[c], shares[c]);
    }
}

} // namespace aplomb
