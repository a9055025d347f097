// SPDX-License-Identifier: MIT
#include "support/standing.h"

#include <algorithm>
#include <cmath>

namespace aplomb {
namespace {

/// The contacts' points, half-set ones drawn in towards those that bear most: setting a foot down moves
/// nothing at once.
struct Drawn {
    double most = 0;
    Vec2 anchor;

    explicit Drawn(const Key& key) {
        for (int i = 0; i < key.stance.contact_count; ++i)
            most = std::max(most, key.stance.contact[i].bearing);
        int points = 0;
        for (int i = 0; i < key.stance.contact_count; ++i) {
            const Contact& c = key.stance.contact[i];
            if (c.bearing < most) continue;
            for (int k = 0; k < c.point_count; ++k)
                anchor = anchor + key.ground.project(c.point[k]), ++points;
        }
        anchor = anchor * (1.0 / points);
    }
    Vec2 operator()(const Key& key, const Contact& c, const Vec3& point) const {
        const Vec2 p = key.ground.project(point);
        return c.bearing < most ? anchor + (p - anchor) * (c.bearing / most) : p;
    }
};

/// p0: the balance point of the body alone. A pull is no part of a pose, any more than a load: a body leans against both.
Vec2 own_point(const Figure& figure, const Key& key) {
    if (key.pull_count == 0) return key.body_point;
    const Pressing& pressing = key.body_pressing;
    Vec2 p = key.body_point;
    for (int k = 0; k < key.pull_count; ++k)
        p = p - pressing.pull[k](key.pull[k].point - key.ground.origin);
    return p * (pressing.normal_force / (figure.total_mass * dot(key.ground.normal, key.ground.felt)));
}

/// The part of the way from there to the balance point that is the loads'.
double part_of_loads(const Key& key, const Vec2& own_point) {
    if (key.pull_count == 0) return 1;
    const Vec2 all = key.balance_point - own_point;
    const double length2 = dot(all, all);
    return length2 > 0 ? std::clamp(dot(key.balance_point - key.body_point, all) / length2, 0.0, 1.0) : 1.0;
}

/// p_u: the same with the trunk upright.
Vec2 upright_point(const Figure& figure, const BodyPlan& plan, const Key& key, const Vec2& own_point) {
    const Vec3& hips = key.body.world[figure.hips].position;
    const Vec2 lean = key.ground.project(key.body.trunk_centre) - key.ground.project(hips);
    const Vec2 own = {plan.neutral_trunk.z, plan.neutral_trunk.x}; // forward and left of an upright figure
    return own_point - (lean - own) * (plan.upper_mass / figure.total_mass);
}

/// A foot that is being set down counts by its bearing.
TwoFeet two_feet(const Figure& figure, const Key& key) {
    TwoFeet feet;
    if (key.stance.contact_count != 2) return feet;
    const Contact* contact = key.stance.contact;
    for (int i = 0; i < 2; ++i) {
        const Contact& c = contact[i];
        if (c.limb < 0 || figure.limbs[c.limb].sole.point_count == 0) return feet;
        feet.middle[i] = (key.ground.project(c.home[0]) + key.ground.project(c.home[1])) * 0.5;
    }
    feet.set =
        std::min(contact[0].bearing, contact[1].bearing) / std::max(contact[0].bearing, contact[1].bearing);
    return feet;
}

bool wishes_anything(const Stance& stance) {
    return std::any_of(stance.contact, stance.contact + stance.contact_count,
                       [](const Contact& c) { return !std::isnan(c.share); });
}

} // namespace

Area make_zone(const Figure& figure, const Key& key) {
    const Drawn drawn(key);
    Unset<Vec2, APLOMB_MAX_CONTACTS * max_sole_points> room;
    int count = 0;
    for (int i = 0; i < key.stance.contact_count; ++i) {
        const Contact& c = key.stance.contact[i];
        Vec3 zone[max_sole_points];
        const int corners = zone_of(figure, c, key.ground.normal, zone);
        for (int k = 0; k < corners; ++k)
            room.data()[count++] = drawn(key, c, zone[k]);
    }
    return convex_hull(room.data(), count);
}

Support make_support(const Figure& figure, const Key& key, double margin_of_sole) {
    const Drawn drawn(key);
    GroundPoints points;
    for (int i = 0; i < key.stance.contact_count; ++i) {
        const Contact& c = key.stance.contact[i];
        for (int k = 0; k < c.point_count; ++k)
            points.point.data()[points.count++] = drawn(key, c, c.point[k]);
        for (int k = 0; k < 2; ++k)
            points.home.data()[points.home_count++] = drawn(key, c, c.home[k]);
    }
    return make_support(points, margin_of_sole * figure.sole_length, key.balance_point);
}

Aim make_aim(const Figure& figure, const BodyPlan& plan, const Key& key, const Support& support, double heft,
             const Travel& travel) {
    const Vec2 own = own_point(figure, key);
    Aim aim =
        find_aim({support, upright_point(figure, plan, key, own), own, key.balance_point,
                  part_of_loads(key, own), figure.total_mass, key.pressing.mass - key.body_pressing.mass,
                  figure.leg_length, figure.sole_length, heft, travel, two_feet(figure, key)});
    if (!wishes_anything(key.stance)) return aim;
    Wish wishes[APLOMB_MAX_CONTACTS];
    for (int i = 0; i < key.stance.contact_count; ++i) {
        const Contact& c = key.stance.contact[i];
        wishes[i] = {c.share, {key.ground.project(c.home[0]), key.ground.project(c.home[1])}};
    }
    heed_wishes(wishes, key.stance.contact_count, BearingPoints(key), support.area, figure.leg_length, aim);
    return aim;
}

} // namespace aplomb
