// SPDX-License-Identifier: MIT
// What the knees tell of a load is what would bend knees keyed at 7 degrees so far: the give of a correction, turned round
// (carry/give.h). All of it is common practice.
#include "reading/sunk.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "carry/give.h"
#include "figure/bend.h"

namespace aplomb {
namespace {

constexpr double usual_bend = 7 * degree; // of a knee that nothing is asked of
constexpr double alike = 15 * degree;     // knees that differ by more are posed, not pressed
constexpr double on_legs = 0.5;           // of the weight
constexpr int halvings = 24;
constexpr double unknown = std::numeric_limits<double>::quiet_NaN();

/// The right one lower: positive.
double lean_between(const Ground& g, const Vec3& left, const Vec3& right) {
    const Vec3 line = left - right;
    return arctan2(dot(line, g.normal), norm(reject(line, g.normal)));
}

/// The first limb of the kind at this side, or -1.
int limb_at(const Figure& figure, aplomb_limb_kind kind, aplomb_side side) {
    for (int i = 0; i < figure.limb_count; ++i) {
        if (figure.limbs[i].kind == kind && figure.limbs[i].side == side) return i;
    }
    return -1;
}

void measure_pair(const Figure& figure, const Key& s, aplomb_limb_kind kind, double& lean, double& raised) {
    const int left = limb_at(figure, kind, APLOMB_SIDE_LEFT),
              right = limb_at(figure, kind, APLOMB_SIDE_RIGHT);
    lean = unknown, raised = 0;
    if (left < 0 || right < 0) return;
    const Vec3 &a = s.body.world[figure.limbs[left].upper].position,
               &b = s.body.world[figure.limbs[right].upper].position;
    lean = lean_between(s.ground, a, b), raised = dot(a - b, s.ground.normal);
}

/// In the smoothed measure of the give, of a knee that is bent so far.
double smooth_of(double bend) {
    return std::sqrt(bend * bend + bend_smoothing * bend_smoothing);
}

/// Load over body that bends the usual knee to `bend`; beyond most_part: NaN.
double part_of_bend(double bend, double weight) {
    const double usual = smooth_of(usual_bend), more = smooth_of(bend) - usual;
    if (more <= 0) return 0;
    const auto yields = [&](double part) {
        const double sink = sink_under(part, usual_sink, weight);
        return sink * part_of_sink(sink, usual);
    };
    if (yields(most_part) < more) return unknown;
    double low = 0, high = most_part;
    for (int i = 0; i < halvings; ++i) {
        const double middle = 0.5 * (low + high);
        (yields(middle) < more ? low : high) = middle;
    }
    return 0.5 * (low + high);
}

} // namespace

Sunk measure_sunk(const Figure& figure, const Key& s, const Aim& aim, const Share* shares) {
    Sunk sunk;
    sunk.knees = sunk.mass = unknown;
    double hips_raised;
    measure_pair(figure, s, APLOMB_LEG, sunk.pelvis, hips_raised);
    measure_pair(figure, s, APLOMB_ARM, sunk.shoulders, sunk.raised);
    double borne = 0, sum = 0, least = pi, most = 0;
    for (int i = 0; i < s.stance.contact_count; ++i) {
        const Contact& c = s.stance.contact[i];
        if (c.limb < 0 || figure.limbs[c.limb].kind != APLOMB_LEG) continue;
        const Limb& limb = figure.limbs[c.limb];
        const double bend = bend_between(s.body.world[limb.upper].position, s.body.world[limb.lower].position,
                                         s.body.world[limb.end].position);
        least = std::min(least, bend), most = std::max(most, bend);
        borne += shares[i].best, sum += shares[i].best * bend, ++sunk.bearing;
    }
    if (borne >= on_legs) sunk.knees = sum / borne;
    const Measures m = measure_carry(figure, s, aim);
    if (m.on_two_legs && sunk.bearing == 1 && s.stance.contact_count == 1) {
        sunk.free_leg = m.leg_limb[m.stand > 0 ? 1 : 0];
        sunk.free_drop = m.stand > 0 ? sunk.pelvis : -sunk.pelvis;
        sunk.thigh = thigh_ahead(figure, s, sunk.free_leg);
    }
    for (int i = 0; i < figure.limb_count; ++i) {
        const double alone = m.arm[i].part + m.arm[i].shoulder;
        if (figure.limbs[i].side == APLOMB_SIDE_LEFT) sunk.left += alone;
        if (figure.limbs[i].side == APLOMB_SIDE_RIGHT) sunk.right += alone;
    }
    if (!(m.part > 0) || std::isnan(sunk.knees)) return sunk;
    const double weight = height_weight(figure, s);
    sunk.asked = sink_under(m.part, usual_sink, weight);
    if (most - least <= alike) sunk.mass = part_of_bend(sunk.knees, weight) * figure.total_mass;
    return sunk;
}

} // namespace aplomb
