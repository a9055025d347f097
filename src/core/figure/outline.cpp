// SPDX-License-Identifier: MIT
#include "figure/outline.h"

#include <algorithm>
#include <cmath>

namespace aplomb {
namespace {

/// Twice the area of the triangle, positive where it turns from x to z.
double turn(const PlanePoint& a, const PlanePoint& b, const PlanePoint& c) {
    return (b.x - a.x) * (c.z - a.z) - (b.z - a.z) * (c.x - a.x);
}

/// Whether the path over `b` turns off the straight line from `a` to `c` by more than rounding.
bool bends(const PlanePoint& a, const PlanePoint& b, const PlanePoint& c) {
    const double reach = std::fabs(c.x - a.x) + std::fabs(c.z - a.z);
    const double detour = std::fabs(b.x - a.x) + std::fabs(b.z - a.z);
    return turn(a, b, c) > 1e-9 * reach * std::max(reach, detour);
}

/// One chain of the hull over sorted points, behind what `work` holds already.
int add_chain(const PlanePoint* first, int count, int step, PlanePoint* work, int used) {
    const int base = used;
    for (int i = 0; i < count; ++i) {
        const PlanePoint& point = first[i * step];
        while (used - base >= 2 && !bends(work[used - 2], work[used - 1], point))
            --used;
        work[used++] = point;
    }
    return used - 1; // the end of this chain starts the next one
}

} // namespace

int convex_outline(PlanePoint* points, int count, PlanePoint* work) {
    const auto before = [](const PlanePoint& a, const PlanePoint& b) {
        return a.x < b.x || (a.x == b.x && a.z < b.z);
    };
    const auto same = [](const PlanePoint& a, const PlanePoint& b) { return a.x == b.x && a.z == b.z; };
    std::sort(points, points + count, before);
    count = static_cast<int>(std::unique(points, points + count, same) - points);
    if (count < 2) return count;
    int corners = add_chain(points, count, 1, work, 0);
    corners = add_chain(points + count - 1, count, -1, work, corners);
    std::copy(work, work + corners, points);
    return corners;
}

int with_fewer_corners(PlanePoint* corners, int count, int most) {
    while (count > std::max(most, 3)) {
        int least = 0;
        double least_area = 1e300;
        for (int i = 0; i < count; ++i) {
            const double area = turn(corners[(i + count - 1) % count], corners[i], corners[(i + 1) % count]);
            if (area < least_area) least_area = area, least = i;
        }
        std::copy(corners + least + 1, corners + count, corners + least);
        --count;
    }
    return count;
}

double area_of(const PlanePoint* corners, int count) {
    double sum = 0;
    for (int i = 1; i + 1 < count; ++i)
        sum += turn(corners[0], corners[i], corners[i + 1]);
    return 0.5 * sum;
}

int part_of_outline(const PlanePoint* corners, int count, double line, bool front, PlanePoint* part) {
    const auto inside = [&](const PlanePoint& p) { return front ? p.z >= line : p.z <= line; };
    int used = 0;
    for (int i = 0; i < count; ++i) {
        const PlanePoint &a = corners[i], &b = corners[(i + 1) % count];
        if (inside(a)) part[used++] = a;
        if ((a.z < line && b.z > line) || (a.z > line && b.z < line)) {
            const double u = (line - a.z) / (b.z - a.z);
            part[used++] = {a.x + u * (b.x - a.x), line};
        }
    }
    return used;
}

} // namespace aplomb
