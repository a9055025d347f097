// SPDX-License-Identifier: MIT
// By Newton's method on the dual: f_i = w_i max(0, l.a_i), a_i = (1, x_i - p), where l maximises
// l.(1, 0, 0) - 1/2 sum w_i max(0, l.a_i)^2. Three unknowns, however many points there are.
#include "support/even_forces.h"

#include <algorithm>
#include <cmath>

#include "moment/key.h"

namespace aplomb {
namespace {

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

} // namespace

BearingPoints::BearingPoints(const Key& s) {
    for (int c = 0; c < s.stance.contact_count; ++c) {
        const Contact& contact = s.stance.contact[c];
        // A contact's weight does not depend on how many points describe it.
        for (int k = 0; k < contact.point_count; ++k)
            point[count++] = {s.ground.project(contact.point[k]), contact.bearing / contact.point_count};
        first[c + 1] = count;
    }
}

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

} // namespace aplomb
