// SPDX-License-Identifier: MIT
// The even forces by Newton's method on the dual: f_i = w_i max(0, l.a_i), a_i = (1, x_i - p), where l
// maximises l.(1, 0, 0) - 1/2 sum w_i max(0, l.a_i)^2. Three unknowns, however many points there are.
#include "reading/shares.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace aplomb {
namespace {

constexpr double no_weight = 1e-9; // a share below this has no centre

/// One bearing point as the dual sees it.
struct Lifted {
    Vec3 a;
    double weight;
};

struct Dual {
    const Lifted* points;
    int count;
    double total_weight;

    double value(const Vec3& l) const {
        double sum = l.x;
        for (int i = 0; i < count; ++i) {
            const double u = std::max(0.0, dot(l, points[i].a));
            sum -= 0.5 * points[i].weight * u * u;
        }
        return sum;
    }
    Vec3 gradient(const Vec3& l, Mat3& curvature) const {
        Vec3 g = {1, 0, 0};
        // The smallest regular term: points on one line leave a direction open, in which nothing pulls.
        curvature = Mat3::identity() * (1e-13 * total_weight);
        for (int i = 0; i < count; ++i) {
            const auto& [a, weight] = points[i];
            const double u = dot(l, a);
            if (u <= 0) continue;
            g -= a * (weight * u);
            curvature += Mat3::outer(a, a) * weight;
        }
        return g;
    }
};

/// Solves m x = b for a positive definite m, by Cholesky's factors.
Vec3 solve(const Mat3& m, const Vec3& b) {
    const double a = std::sqrt(m.row[0].x), ba = m.row[1].x / a, ca = m.row[2].x / a;
    const double bb = std::sqrt(std::max(1e-300, m.row[1].y - ba * ba)), cb = (m.row[2].y - ca * ba) / bb;
    const double cc = std::sqrt(std::max(1e-300, m.row[2].z - ca * ca - cb * cb));
    const double y0 = b.x / a, y1 = (b.y - ba * y0) / bb, y2 = (b.z - ca * y0 - cb * y1) / cc;
    const double x2 = y2 / cc, x1 = (y1 - cb * x2) / bb;
    return {(y0 - ba * x1 - ca * x2) / a, x1, x2};
}

Vec3 maximise(const Dual& dual) {
    Vec3 l = {1.0 / dual.total_weight, 0, 0};
    double value = dual.value(l);
    for (int iteration = 0; iteration < 100; ++iteration) {
        Mat3 curvature;
        const Vec3 g = dual.gradient(l, curvature);
        if (norm(g) < 1e-14) break;
        const Vec3 step = solve(curvature, g);
        const double slope = dot(g, step);
        double part = 1;
        double next = dual.value(l + step);
        while (next < value + 1e-4 * part * slope && part > 1e-12) {
            part *= 0.5;
            next = dual.value(l + step * part);
        }
        if (next < value) break; // nothing left but rounding
        l += step * part;
        value = next;
    }
    return l;
}

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

/// Contact by contact, the points on the ground.
struct GroundPoints {
    int count = 0;
    int first[APLOMB_MAX_CONTACTS + 1] = {};
    BearingPoint point[max_bearing_points];

    explicit GroundPoints(const Situation& s) {
        for (int c = 0; c < s.stance.contact_count; ++c) {
            const Contact& contact = s.stance.contact[c];
            // A contact's weight does not depend on how many points describe it.
            for (int k = 0; k < contact.point_count; ++k)
                point[count++] = {s.ground.project(contact.point[k]), contact.bearing / contact.point_count};
            first[c + 1] = count;
        }
    }
    /// The hull of the contact's points, or of all the others'.
    Area hull(int contact, bool others) const {
        Vec2 places[max_bearing_points];
        int n = 0;
        for (int i = 0; i < count; ++i) {
            const bool own = i >= first[contact] && i < first[contact + 1];
            if (own != others) places[n++] = point[i].place;
        }
        return convex_hull(places, n);
    }
};

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

void even_forces(const BearingPoint* points, int count, const Vec2& p, double* forces) {
    Lifted lifted[max_bearing_points];
    double size = 0, total = 0;
    for (int i = 0; i < count; ++i)
        size = std::max(size, norm(points[i].place - p));
    const double scale = size > 0 ? 1.0 / size : 1.0;
    for (int i = 0; i < count; ++i) {
        const Vec2 d = (points[i].place - p) * scale;
        lifted[i] = {{1, d.fore, d.left}, points[i].weight};
        total += points[i].weight;
    }
    const Vec3 l = maximise({lifted, count, total});
    double sum = 0;
    for (int i = 0; i < count; ++i)
        sum += forces[i] = points[i].weight * std::max(0.0, dot(l, lifted[i].a));
    for (int i = 0; i < count; ++i)
        forces[i] /= sum;
}

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

void find_shares(const Situation& s, const Area& area, Share* shares) {
    const GroundPoints points(s);
    const Vec2 p = nearest_point(area, s.balance_point);
    double forces[max_bearing_points];
    even_forces(points.point, points.count, p, forces);
    for (int c = 0; c < s.stance.contact_count; ++c) {
        shares[c].range = share_range(points.hull(c, false), points.hull(c, true), p);
        settle_share(s.stance.contact[c], forces + points.first[c], shares[c]);
    }
}

} // namespace aplomb
