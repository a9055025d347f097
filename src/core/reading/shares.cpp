// SPDX-License-Identifier: MIT
#include "reading/shares.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace aplomb {
namespace {

constexpr double no_weight = 1e-9; // a share below this has no centre

/// The weights with which three points, of which some may be the same, make up `p`.
bool make_up(const Vec2& p, const Vec2& a, const Vec2& b, const Vec2& c, double size, double* weight) {
    constexpr double near = 1e-9; // of the size: rounding; thinner triangles are lines
    const Vec2 ab = b - a, ac = c - a, ap = p - a;
    const double whole = cross(ab, ac);
    if (std::fabs(whole) > near * size * size) {
        weight[1] = cross(ap, ac) / whole;
        weight[2] = cross(ab, ap) / whole;
        weight[0] = 1 - weight[1] - weight[2];
        return weight[0] >= -near && weight[1] >= -near && weight[2] >= -near;
    }
    // A line, or a point: the third corner is not needed, the pairs meet all of it.
    const double length2 = dot(ab, ab);
    const double t = length2 > 0 ? std::clamp(dot(ap, ab) / length2, 0.0, 1.0) : 0.0;
    weight[0] = 1 - t, weight[1] = t, weight[2] = 0;
    return norm(ap - ab * t) <= near * size;
}

double size_of(const Area& part, const Area& others, const Vec2& p) {
    double size = 1e-6;
    for (const Area* area : {&part, &others}) {
        for (int i = 0; i < area->count; ++i)
            size = std::max(size, norm(area->corner[i] - p));
    }
    return size;
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

ShareRange share_range(const Area& part, const Area& others, const Vec2& p) {
    const int count = part.count + others.count;
    const auto corner = [&](int i) {
        return i < part.count ? part.corner[i] : others.corner[i - part.count];
    };
    const double size = size_of(part, others, p);
    double lowest = 1, highest = 0;
    for (int i = 0; i < count; ++i) {
        for (int j = i; j < count; ++j) {
            for (int k = j; k < count; ++k) {
                double weight[3];
                if (!make_up(p, corner(i), corner(j), corner(k), size, weight)) continue;
                double share = 0;
                for (const int n : {0, 1, 2})
                    share += (n == 0 ? i : n == 1 ? j : k) < part.count ? weight[n] : 0.0;
                lowest = std::min(lowest, share), highest = std::max(highest, share);
            }
        }
    }
    return {std::clamp(lowest, 0.0, 1.0), std::clamp(highest, 0.0, 1.0)};
}

void find_shares(const Key& s, const Area& area, Share* shares) {
    const BearingPoints points(s);
    const Vec2 p = nearest_point(area, s.balance_point);
    double forces[max_bearing_points];
    even_forces(points.point, points.count, p, forces);
    for (int c = 0; c < s.stance.contact_count; ++c) {
        shares[c].range = share_range(hull_of(points, c, false), hull_of(points, c, true), p);
        settle_share(s.stance.contact[c], forces + points.first[c], shares[c]);
    }
}

} // namespace aplomb
