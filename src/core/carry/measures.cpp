// SPDX-License-Identifier: MIT
#include "carry/measures.h"

namespace aplomb {
namespace {

constexpr double aside_width = 0.005;                              // of the leg
constexpr double one_sided_width = 0.05;                           // of the body's mass
constexpr double hang_from = 25 * degree, hang_over = 40 * degree; // from plumb
constexpr double ahead_over = 0.2;                                 // of the leg

void measure_legs(const Figure& figure, const Key& s, Measures& m) {
    int legs = 0;
    for (int i = 0; i < figure.limb_count; ++i) {
        const Limb& limb = figure.limbs[i];
        if (limb.kind == APLOMB_ARM) continue;
        ++legs;
        if (limb.kind == APLOMB_LEG && limb.side != APLOMB_SIDE_MIDDLE)
            m.leg_limb[limb.side == APLOMB_SIDE_LEFT ? 0 : 1] = i;
    }
    for (int i = 0; i < s.stance.contact_count; ++i) {
        const Contact& c = s.stance.contact[i];
        if (c.limb >= 0) m.bearing[c.limb] = std::max(m.bearing[c.limb], c.bearing);
    }
    m.on_two_legs = legs == 2 && m.leg_limb[0] >= 0 && m.leg_limb[1] >= 0;
    if (!m.on_two_legs) return;
    const Joint &left = figure.joints[figure.limbs[m.leg_limb[0]].upper],
                &right = figure.joints[figure.limbs[m.leg_limb[1]].upper];
    m.half_hips = 0.5 * norm(left.neutral_position - right.neutral_position);
    m.stand = m.bearing[m.leg_limb[0]] - m.bearing[m.leg_limb[1]];
    m.lift = std::fabs(m.stand);
}

void measure_loads(const Figure& figure, const Key& s, Measures& m) {
    double mass = 0, front = 0, moment = 0;
    for (int k = 0; k < s.load_count; ++k) {
        const Load& load = s.load[k];
        const double part = load.mass / m.body;
        mass += part;
        const double ahead = s.ground.project(load.centre).fore - s.body_point.fore;
        front += part * smooth_step(ahead / (ahead_over * m.leg));
        if (load.level) {
            if (m.level[0] < 0) m.level[0] = load.arm[0], m.level[1] = load.arm[1];
            m.arm[load.arm[0]].both += part, m.arm[load.arm[1]].both += part;
        }
        if (load.holder_count == 2) continue;
        moment += sign_of(figure.joints[load.holder[0]].side) * part;
        if (load.arm[0] >= 0) {
            m.arm[load.arm[0]].part += part;
            continue;
        }
        for (int i = 0; i < figure.limb_count; ++i) {
            const bool lies_there = figure.joints[load.holder[0]].role == APLOMB_ROLE_GIRDLE &&
                                    figure.joints[figure.limbs[i].upper].carrier == load.holder[0];
            if (lies_there) m.arm[i].shoulder += part;
        }
    }
    m.part = std::min(mass, most_part);
    m.front = std::min(front, most_part);
    m.one_sided = moment / std::sqrt(moment * moment + one_sided_width * one_sided_width);
}

void measure_arms(const Figure& figure, const Key& s, Measures& m) {
    for (int i = 0; i < figure.limb_count; ++i) {
        const Limb& limb = figure.limbs[i];
        if (limb.kind != APLOMB_ARM) continue;
        const Vec3 line = s.body.world[limb.end].position - s.body.world[limb.upper].position;
        const double off = arccos(std::clamp(-dot(line, s.ground.normal) / norm(line), -1.0, 1.0));
        m.arm[i].hang = 1.0 - smooth_step((off - hang_from) / hang_over);
        m.arm[i].is_free = s.stance.hold[i] == APLOMB_FREE;
    }
}

} // namespace

double thigh_ahead(const Figure& figure, const Key& s, int leg) {
    const Limb& limb = figure.limbs[leg];
    const Vec3 thigh = s.body.world[limb.lower].position - s.body.world[limb.upper].position;
    return arctan2(dot(thigh, s.ground.fore), -dot(thigh, s.ground.normal));
}

Measures measure_carry(const Figure& figure, const Key& s, const Aim& aim) {
    Measures m;
    m.body = figure.total_mass, m.leg = figure.leg_length;
    measure_legs(figure, s, m);
    measure_arms(figure, s, m);
    measure_loads(figure, s, m);
    const Vec2 way = aim.countered - s.balance_point;
    m.counter = way * aim.of_loads, m.pulled = way * (1 - aim.of_loads);
    m.phi = aim.phi;
    m.aside = smooth_size(m.counter.left / m.leg, aside_width);
    return m;
}

} // namespace aplomb
