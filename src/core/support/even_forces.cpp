// SPDX-License-Identifier: MIT
// By Newton's method on the dual: f_i = w_i max(0, l.a_i), a_i = (1, x_i - p), where l maximises
// l.(1, 0, 0) - 1/2 sum w_i max(0, l.a_i)^2. Three unknowns, however many points there are.
#include "support/even_forces.h"

#include <algorithm>
#include <cmath>

#include "moment/key.h"

namespace aplomb {
namespace {

/// One bearing point as the dual sees it: a = (1, x, y).
struct Lifted {
    double x, y, weight;
    bool pressed = false; // in the face that was summed
};

/// As long as the same points press, the dual is one quadratic (a face); the curvature of each face is summed once.
class Dual {
public:
    Dual(Lifted* points, int count, double total_weight)
        : points_(points), count_(count), total_weight_(total_weight) {}

    struct Look {
        double value;
        Vec3 gradient;
        bool same_face; // as that of the last sum_face
    };
    Look at(const Vec3& l) const {
        Look look = {l.x, {1, 0, 0}, true};
        for (int i = 0; i < count_; ++i) {
            const Lifted& p = points_[i];
            const double u = l.x + l.y * p.x + l.z * p.y;
            look.same_face = look.same_face && (u > 0) == p.pressed;
            if (!(u > 0)) continue;
            const double force = p.weight * u;
            look.value -= 0.5 * force * u;
            look.gradient -= Vec3{force, force * p.x, force * p.y};
        }
        return look;
    }
    Mat3 sum_face(const Vec3& l) {
        double w = 0, x = 0, y = 0, xx = 0, xy = 0, yy = 0;
        for (int i = 0; i < count_; ++i) {
            Lifted& p = points_[i];
            p.pressed = l.x + l.y * p.x + l.z * p.y > 0;
            if (!p.pressed) continue;
            const double wx = p.weight * p.x, wy = p.weight * p.y;
            w += p.weight, x += wx, y += wy;
            xx += wx * p.x, xy += wx * p.y, yy += wy * p.y;
        }
        // The smallest regular term: points on one line leave a direction open, in which nothing pulls.
        const double regular = 1e-13 * total_weight_;
        return {{{w + regular, x, y}, {x, xx + regular, xy}, {y, xy, yy + regular}}};
    }

private:
    Lifted* points_;
    int count_;
    double total_weight_;
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

Vec3 maximise(Dual& dual, double total_weight) {
    constexpr double met = 1e-14; // of the weight
    Vec3 l = {1.0 / total_weight, 0, 0};
    Mat3 curvature = dual.sum_face(l);
    Dual::Look here = dual.at(l);
    // One step after the tolerance is met: with few pressing points the sums hardly show what is left.
    bool refined = false;
    for (int iteration = 0; iteration < 100; ++iteration) {
        if (norm(here.gradient) < met) {
            if (refined || !here.same_face) break;
            refined = true;
        }
        const Vec3 step = solve(curvature, here.gradient);
        const double slope = dot(here.gradient, step);
        Dual::Look next = dual.at(l + step);
        double part = 1;
        // Within one face a step is exact, and what is left is rounding, which values do not show.
        while (!next.same_face && next.value < here.value + 1e-4 * part * slope && part > 1e-12) {
            part *= 0.5;
            next = dual.at(l + step * part);
        }
        const bool gains =
            next.same_face ? norm(next.gradient) < norm(here.gradient) : next.value >= here.value;
        if (!gains) break; // nothing left but rounding
        l += step * part;
        if (!next.same_face) curvature = dual.sum_face(l);
        here = next;
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
        lifted[i] = {d.fore, d.left, points[i].weight};
        total += points[i].weight;
    }
    Dual dual(lifted, count, total);
    const Vec3 l = maximise(dual, total);
    double sum = 0;
    for (int i = 0; i < count; ++i)
        sum += forces[i] = points[i].weight * std::max(0.0, l.x + l.y * lifted[i].x + l.z * lifted[i].y);
    for (int i = 0; i < count; ++i)
        forces[i] /= sum;
}

} // namespace aplomb
