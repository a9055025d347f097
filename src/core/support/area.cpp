// SPDX-License-Identifier: MIT
#include "support/area.h"

#include <algorithm>

namespace aplomb {
namespace {

constexpr double same_place = 1e-9; // metres; corners nearer than this are one
constexpr double no_edge = 1e-100;  // metres; the square of a shorter one is not known

bool before(const Vec2& a, const Vec2& b) {
    return a.fore != b.fore ? a.fore < b.fore : a.left < b.left;
}

/// Andrew's monotone chain (1979): `chain` gets the corners, counter-clockwise; returns their number.
int monotone_chain(const Vec2* sorted, int count, Vec2* chain) {
    int n = 0;
    for (int pass = 0; pass < 2; ++pass) {
        const int base = n;
        for (int k = 0; k < count; ++k) {
            const Vec2& p = sorted[pass == 0 ? k : count - 1 - k];
            while (n >= base + 2 && cross(chain[n - 1] - chain[n - 2], p - chain[n - 2]) <= 1e-15)
                --n;
            chain[n++] = p;
        }
        --n; // the last point of one chain is the first of the other
    }
    return n;
}

/// Drops the corner whose triangle with its neighbours is smallest.
int drop_least_corner(Vec2* chain, int n) {
    int least = 0;
    double smallest = 1e300;
    for (int i = 0; i < n; ++i) {
        const Vec2 &a = chain[(i + n - 1) % n], &b = chain[i], &c = chain[(i + 1) % n];
        const double size = cross(b - a, c - a);
        if (size < smallest) smallest = size, least = i;
    }
    for (int i = least; i + 1 < n; ++i)
        chain[i] = chain[i + 1];
    return n - 1;
}

void add_edge(Area& area, const Vec2& normal, const Vec2& on, int corner) {
    area.normal[area.edge_count] = normal;
    area.offset[area.edge_count] = dot(normal, on);
    area.edge_corner[area.edge_count++] = corner;
}

void add_edges(Area& area) {
    if (area.count == 1) {
        for (const Vec2& n : {Vec2{1, 0}, Vec2{0, 1}, Vec2{-1, 0}, Vec2{0, -1}})
            add_edge(area, n, area.corner[0], 0);
        return;
    }
    for (int i = 0; i < area.count; ++i) {
        const Vec2& a = area.corner[i];
        const Vec2 d = area.corner[(i + 1) % area.count] - a;
        const double length = norm(d);
        if (length <= no_edge) continue;
        const Vec2 t = d * (1.0 / length);
        add_edge(area, {t.left, -t.fore}, a, i);
        if (area.count == 2) add_edge(area, {-t.fore, -t.left}, a, i); // the line's own ends
    }
}

Vec2 nearest_on_segment(const Vec2& a, const Vec2& b, const Vec2& p) {
    const Vec2 d = b - a;
    const double length2 = dot(d, d);
    if (length2 == 0) return a;
    return a + d * std::clamp(dot(p - a, d) / length2, 0.0, 1.0);
}

/// The radius at which three offset lines meet in one point, or a huge number where they never do.
double meeting_radius(const Area& area, int i, int j, int k) {
    const Vec2 u = area.normal[j] - area.normal[i], v = area.normal[k] - area.normal[i];
    const double det = cross(u, v);
    if (det < 1e-12) return 1e300;
    // n.p + r = offset for all three: eliminate p between the differences and the first line.
    const double bu = area.offset[j] - area.offset[i], bv = area.offset[k] - area.offset[i];
    const Vec2 p = {(bu * v.left - bv * u.left) / det, (u.fore * bv - v.fore * bu) / det};
    return area.offset[i] - dot(area.normal[i], p);
}

} // namespace

Area convex_hull(Vec2* points, int count) {
    std::sort(points, points + count, before);
    int kept = 0;
    for (int i = 0; i < count; ++i) {
        if (kept == 0 || norm(points[i] - points[kept - 1]) > same_place) points[kept++] = points[i];
    }
    Area area;
    if (kept == 0) return area;
    Unset<Vec2, 2 * APLOMB_MAX_CONTACTS * 16 + 2> room;
    Vec2* chain = room.data();
    int n = kept < 2 ? kept : monotone_chain(points, kept, chain);
    if (kept == 1) chain[0] = points[0];
    if (n == 2 && norm(chain[1] - chain[0]) <= no_edge) n = 1;
    while (n > max_corners)
        n = drop_least_corner(chain, n);
    area.count = n;
    std::copy(chain, chain + n, area.corner);
    add_edges(area);
    return area;
}

HalfPlanes moved_inwards(const Area& area, double margin) {
    HalfPlanes planes;
    planes.count = area.edge_count;
    for (int i = 0; i < area.edge_count; ++i)
        planes.normal[i] = area.normal[i], planes.bound[i] = area.offset[i] - margin;
    return planes;
}

double margin_of(const Area& area, const Vec2& p, int* edge) {
    double least = 1e300;
    int nearest = 0;
    for (int i = 0; i < area.edge_count; ++i) {
        const double m = area.offset[i] - dot(area.normal[i], p);
        if (m < least) least = m, nearest = i;
    }
    if (edge) *edge = nearest;
    return least < 0 ? -norm(p - nearest_point(area, p)) : least;
}

Vec2 nearest_point(const Area& area, const Vec2& p) {
    bool inside = true;
    for (int i = 0; i < area.edge_count; ++i)
        inside = inside && dot(area.normal[i], p) <= area.offset[i];
    if (inside) return p;
    Vec2 best = area.corner[0];
    for (int i = 0; i < area.count; ++i) {
        const Vec2 q = nearest_on_segment(area.corner[i], area.corner[(i + 1) % area.count], p);
        if (dot(q - p, q - p) < dot(best - p, best - p)) best = q;
    }
    return best;
}

double greatest_margin(const Area& area) {
    if (area.count < 3) return 0;
    // All edges move inwards at one speed; the one that vanishes first leaves, until no three remain. The
    // last to vanish does so at the centre of the largest circle.
    int ring[max_corners], n = area.edge_count;
    for (int i = 0; i < n; ++i)
        ring[i] = i;
    double radius = 0;
    while (n >= 3) {
        int first = 0;
        double soonest = 1e300;
        for (int i = 0; i < n; ++i) {
            const double r = meeting_radius(area, ring[(i + n - 1) % n], ring[i], ring[(i + 1) % n]);
            if (r < soonest) soonest = r, first = i;
        }
        if (soonest > 1e299) break;
        radius = std::max(radius, soonest);
        for (int i = first; i + 1 < n; ++i)
            ring[i] = ring[i + 1];
        --n;
    }
    return radius;
}

} // namespace aplomb
