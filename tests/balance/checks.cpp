// SPDX-License-Identifier: MIT
#include "balance/checks.h"

#include <algorithm>

namespace own {
namespace {

/// By how much `now` is outside both the range and the key.
double excess(double lowest, double highest, double keyed, double now) {
    return std::max(std::min(lowest, keyed) - now, now - std::max(highest, keyed));
}

double excess_of(const Bones& bones, int32_t joint, const Vector& keyed, const Vector& now) {
    const double* limits = bones.joints[static_cast<size_t>(joint)].limits;
    double worst = 0;
    for (int a = 0; a < 3; ++a)
        worst = std::max(worst, excess(limits[2 * a], limits[2 * a + 1], keyed[a], now[a]));
    return worst;
}

} // namespace

aplomb_hold hold_of(const Moment& m, int32_t limb) {
    for (const aplomb_contact& contact : m.contacts) {
        if (contact.limb == limb) return static_cast<aplomb_hold>(contact.hold);
    }
    return APLOMB_FREE;
}

Moved moved_ends(const Character& c, const Moment& m, const World& keyed, const World& now) {
    Moved moved;
    for (size_t i = 0; i < c.bones.limbs.size(); ++i) {
        if (hold_of(m, static_cast<int32_t>(i)) != APLOMB_BEARING) continue;
        const size_t end = static_cast<size_t>(c.bones.limbs[i].end);
        moved.place = std::max(moved.place, (now.place[end] - keyed.place[end]).norm());
        moved.turn = std::max(moved.turn, angle_between(keyed.turn[end], now.turn[end]));
    }
    return moved;
}

double angle_excess(const Character& c, const Moment& m, const World& keyed, const World& now) {
    constexpr double measurable = 2.8; // of a swing, radians; past this its axis is not defined
    double worst = 0;
    for (size_t j = 0; j < c.bones.joints.size(); ++j) {
        const int32_t joint = static_cast<int32_t>(j);
        const int32_t role = c.bones.joints[j].role;
        if (role != APLOMB_ROLE_SPINE && role != APLOMB_ROLE_NECK && role != APLOMB_ROLE_HEAD) continue;
        worst =
            std::max(worst, excess_of(c.bones, joint, rotation_vector(c.bones.against_parent(keyed, joint)),
                                      rotation_vector(c.bones.against_parent(now, joint))));
    }
    for (size_t i = 0; i < c.bones.limbs.size(); ++i) {
        if (hold_of(m, static_cast<int32_t>(i)) != APLOMB_BEARING) continue;
        for (const int32_t joint : {c.bones.limbs[i].upper, c.bones.limbs[i].end}) {
            const Turn was = c.bones.against_parent(keyed, joint), is = c.bones.against_parent(now, joint);
            if (swing_angle(is) > measurable || swing_angle(was) > measurable) continue;
            worst = std::max(worst, excess_of(c.bones, joint, swing_twist(was), swing_twist(is)));
        }
    }
    return worst;
}

double reach_excess(const Character& c, const Moment& m, const World& keyed, const World& now) {
    double worst = 0;
    for (size_t i = 0; i < c.bones.limbs.size(); ++i) {
        if (hold_of(m, static_cast<int32_t>(i)) != APLOMB_BEARING) continue;
        const aplomb_limb_info& limb = c.bones.limbs[i];
        const Vector a = now.place[static_cast<size_t>(limb.upper)],
                     k = now.place[static_cast<size_t>(limb.lower)],
                     e = now.place[static_cast<size_t>(limb.end)];
        const double l1 = (k - a).norm(), l2 = (e - k).norm();
        double most = std::sqrt(l1 * l1 + l2 * l2 + 2 * l1 * l2 * std::cos(1.0 / degrees(1)));
        const double was =
            (keyed.place[static_cast<size_t>(limb.end)] - keyed.place[static_cast<size_t>(limb.upper)])
                .norm();
        if (!(m.options.free & APLOMB_FREE_HIPS_HEIGHT)) most = std::max(most, was);
        worst = std::max(worst, (e - a).norm() - most);
    }
    return worst;
}

/// The wrist of the free arm that this joint is the hand of, or -1.
static int32_t free_wrist(const Character& c, const Moment& m, int32_t joint) {
    for (size_t i = 0; i < c.bones.limbs.size(); ++i) {
        const aplomb_limb_info& limb = c.bones.limbs[i];
        if (limb.kind == APLOMB_ARM && limb.end == joint &&
            hold_of(m, static_cast<int32_t>(i)) == APLOMB_FREE)
            return limb.end;
    }
    return -1;
}

Carried::Carried(const Character& c, const Moment& m, const aplomb_reading& keyed_reading, const World& keyed)
    : c_(c), m_(m) {
    for (size_t i = 0; i < m.loads.size(); ++i) {
        const double* p = keyed_reading.load_centre[i];
        Vector held(p[0], p[1], p[2]);
        if (m.loads[i].hanging) held.y() += m.loads[i].hang;
        const int32_t a = free_wrist(c, m, m.loads[i].holder[0]), b = free_wrist(c, m, m.loads[i].holder[1]);
        if (a >= 0 && b >= 0 && a != b) {
            const auto wrist = [](int32_t j) { return static_cast<size_t>(j); };
            level_.push_back({i,
                              {wrist(a), wrist(b)},
                              held - 0.5 * (keyed.place[wrist(a)] + keyed.place[wrist(b)]),
                              keyed.turn[static_cast<size_t>(c.bones.info.chest)]});
            continue;
        }
        for (int h = 0; h < 2 && m.loads[i].holder[h] >= 0; ++h) {
            const size_t j = static_cast<size_t>(m.loads[i].holder[h]);
            grips_.push_back({i, j, keyed.turn[j].conjugate() * (held - keyed.place[j])});
        }
    }
}

Vector Carried::centre(const World& w) const {
    Vector moment = c_.bones.first_moment(w);
    double mass = c_.bones.body_mass();
    for (const Grip& grip : grips_) {
        const aplomb_load& load = m_.loads[grip.load];
        const double part = load.holder[1] >= 0 ? 0.5 : 1.0;
        moment += load.mass * part * (w.place[grip.joint] + w.turn[grip.joint] * grip.local);
        mass += load.mass * part;
    }
    for (const Level& level : level_) {
        const Turn turn = w.turn[static_cast<size_t>(c_.bones.info.chest)] * level.chest.conjugate();
        const Turn twist(Eigen::AngleAxisd(rotation_vector(turn).y(), Vector::UnitY()));
        const double load = m_.loads[level.load].mass;
        moment +=
            load * (0.5 * (w.place[level.wrist[0]] + w.place[level.wrist[1]]) + twist * level.from_wrists);
        mass += load;
    }
    return moment / mass;
}

} // namespace own
