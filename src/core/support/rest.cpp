// SPDX-License-Identifier: MIT
#include "support/rest.h"

#include <algorithm>
#include <cmath>

#include "base/smooth.h"
#include "support/even_forces.h"

namespace aplomb {
namespace {

constexpr int wishing_rounds = 20;
constexpr double wish_met = 1e-10; // of the leg's length
constexpr double little = 0.02;    // a load of this part of the body begins to ask for a margin: by eye
constexpr double rise = 0.08; // of the leg's length: from the margin asked for down to a full aim at home

/// The contacts' points, half-set ones drawn in towards those that bear most: setting a foot down moves
/// nothing at once.
struct Drawn {
    double most = 0;
    Vec2 anchor;

    explicit Drawn(const Situation& s) {
        for (int i = 0; i < s.stance.contact_count; ++i)
            most = std::max(most, s.stance.contact[i].bearing);
        int points = 0;
        for (int i = 0; i < s.stance.contact_count; ++i) {
            const Contact& c = s.stance.contact[i];
            if (c.bearing < most) continue;
            for (int k = 0; k < c.point_count; ++k)
                anchor = anchor + s.ground.project(c.point[k]), ++points;
        }
        anchor = anchor * (1.0 / points);
    }
    Vec2 operator()(const Situation& s, const Contact& c, const Vec3& point) const {
        const Vec2 p = s.ground.project(point);
        return c.bearing < most ? anchor + (p - anchor) * (c.bearing / most) : p;
    }
};

Vec2 nearest_on_home_line(const Situation& s, const Contact& c, const Vec2& to) {
    const Vec2 a = s.ground.project(c.home[0]), d = s.ground.project(c.home[1]) - a;
    const double length2 = dot(d, d);
    return length2 > 0 ? a + d * std::clamp(dot(to - a, d) / length2, 0.0, 1.0) : a;
}

/// The wished share of each contact; contacts without a wish divide what is left. False where nothing is wished.
bool wished_shares(const Situation& s, double* shares) {
    const int count = s.stance.contact_count;
    double given = 0;
    int open = 0;
    for (int i = 0; i < count; ++i) {
        const double share = s.stance.contact[i].share;
        if (std::isnan(share))
            ++open;
        else
            given += share;
    }
    const double rest = open > 0 ? std::max(0.0, 1.0 - given) / open : 0.0;
    const double sum = given + rest * open;
    for (int i = 0; i < count; ++i) {
        const double share = s.stance.contact[i].share;
        shares[i] = (std::isnan(share) ? rest : share) / sum;
    }
    return open < count && sum > 0;
}

/// Where the weight has to come down for the contacts to bear the wished shares, by their evenest pressure: from
/// the shares' mean of the contacts' own homes on, by what each share still lacks there.
Vec2 wished_point(const Figure& figure, const Situation& s, const Area& area, const Vec2& home,
                  const double* shares) {
    const BearingPoints points(s);
    Vec2 homes[APLOMB_MAX_CONTACTS], wished;
    for (int i = 0; i < s.stance.contact_count; ++i) {
        homes[i] = nearest_on_home_line(s, s.stance.contact[i], home);
        wished = wished + homes[i] * shares[i];
    }
    for (int round = 0; round < wishing_rounds; ++round) {
        wished = nearest_point(area, wished);
        double forces[max_bearing_points];
        even_forces(points.point, points.count, wished, forces);
        Vec2 lack;
        for (int i = 0; i < s.stance.contact_count; ++i) {
            double borne = 0;
            for (int k = points.first[i]; k < points.first[i + 1]; ++k)
                borne += forces[k];
            lack = lack + homes[i] * (shares[i] - borne);
        }
        wished = wished + lack;
        if (norm(lack) < wish_met * figure.leg_length) break;
    }
    return nearest_point(area, wished);
}

/// How far a load takes home towards even shares of two bearing feet: along the join of their middles, at most to the line
/// midway between them, so that feet moved apart or one ahead of the other help. A foot that is being set down counts by
/// its bearing.
Vec2 towards_even_shares(const Figure& figure, const Situation& s, const Vec2& home) {
    const Stance& stance = s.stance;
    if (stance.contact_count != 2) return {};
    Vec2 middle[2];
    for (int i = 0; i < 2; ++i) {
        const Contact& c = stance.contact[i];
        if (c.limb < 0 || figure.limbs[c.limb].sole.point_count == 0) return {};
        middle[i] = (s.ground.project(c.home[0]) + s.ground.project(c.home[1])) * 0.5;
    }
    const Vec2 join = middle[1] - middle[0];
    const double apart = norm(join);
    if (!(apart > 0)) return {};
    const Vec2 along = join * (1 / apart);
    const double way = dot((middle[0] + middle[1]) * 0.5 - home, along); // R, with its sign
    const double pulled = 0.5 * dot(s.balance_point - s.body_point, along) * (way < 0 ? -1.0 : 1.0);
    if (!(pulled > 0) || way == 0) return {};
    const double b0 = stance.contact[0].bearing, b1 = stance.contact[1].bearing;
    const double set = std::min(b0, b1) / std::max(b0, b1);
    return along * (set * way * pulled / std::sqrt(way * way + pulled * pulled));
}

/// p_u: the balance point without loads and with the trunk upright.
Vec2 upright_point(const Figure& figure, const BodyPlan& plan, const Situation& s) {
    const Vec3& hips = s.body.world[figure.hips].position;
    const Vec2 lean = s.ground.project(s.body.trunk_centre) - s.ground.project(hips);
    const Vec2 own = {plan.neutral_trunk.z, plan.neutral_trunk.x}; // forward and left of an upright figure
    return s.body_point - (lean - own) * (plan.upper_mass / figure.total_mass);
}

/// What of a load's pull is let go: q moves towards the loaded balance point by k D / sqrt(1 + (k D / room)^2) on each axis,
/// never past the middle half of the area. Standing, a front load goes to mid-foot; a long base needs little countering
/// (common practice; the numbers by eye).
Vec2 let_go(const Figure& figure, const Situation& s, const Area& area, const Vec2& q, double heft) {
    const Vec2 pull = s.balance_point - q;
    const double leg = figure.leg_length;
    double part[2] = {};
    for (int axis = 0; axis < 2; ++axis) {
        const auto along = [axis](const Vec2& p) { return axis == 0 ? p.fore : p.left; };
        double low = 1e300, high = -1e300;
        for (int i = 0; i < area.count; ++i)
            low = std::min(low, along(area.corner[i])), high = std::max(high, along(area.corner[i]));
        const double length = high - low, middle = 0.5 * (high + low), d = along(pull);
        const double stride = smooth_step((length / figure.sole_length - 1.25) / 1.25);
        const double k = heft * (axis == 0 && d > 0 ? 0.45 + 0.5 * stride : 0.95 * stride);
        const double way = middle + (d > 0 ? 0.25 : -0.25) * length - along(q);
        const double ahead = d > 0 ? way : -way, width = 0.02 * leg;
        const double room = (0.6 + 0.4 * stride) * 0.5 * (ahead + std::sqrt(ahead * ahead + width * width));
        const double wish = k * positive_part(std::fabs(d), 0.005 * leg);
        if (wish > 0) part[axis] = (d > 0 ? wish : -wish) / std::sqrt(1.0 + wish / room * (wish / room));
    }
    return {part[0], part[1]};
}

/// The least part of the way from q to home with the margin.
double part_with_margin(const Area& area, const Vec2& q, const Vec2& home, double margin) {
    const Vec2 way = home - q;
    double part = 0;
    for (int i = 0; i < area.edge_count; ++i) {
        const double lack = margin - (area.offset[i] - dot(area.normal[i], q)),
                     gain = -dot(area.normal[i], way);
        if (lack > 0) part = std::max(part, gain > lack ? lack / gain : 1.0);
    }
    return part;
}

} // namespace

Area make_zone(const Figure& figure, const Situation& s) {
    const Drawn drawn(s);
    Scratch<Vec2, APLOMB_MAX_CONTACTS * max_sole_points> room;
    int count = 0;
    for (int i = 0; i < s.stance.contact_count; ++i) {
        const Contact& c = s.stance.contact[i];
        Vec3 zone[max_sole_points];
        const int corners = zone_of(figure, c, s.ground.normal, zone);
        for (int k = 0; k < corners; ++k)
            room.data()[count++] = drawn(s, c, zone[k]);
    }
    return convex_hull(room.data(), count);
}

Support make_support(const Figure& figure, const Situation& s, double margin_of_sole) {
    Support support;
    const Drawn drawn(s);
    Scratch<Vec2, APLOMB_MAX_CONTACTS * max_sole_points> point_room;
    Scratch<Vec2, 2 * APLOMB_MAX_CONTACTS> home_room;
    Vec2 *points = point_room.data(), *home = home_room.data();
    int point_count = 0, home_count = 0;
    for (int i = 0; i < s.stance.contact_count; ++i) {
        const Contact& c = s.stance.contact[i];
        for (int k = 0; k < c.point_count; ++k)
            points[point_count++] = drawn(s, c, c.point[k]);
        for (int k = 0; k < 2; ++k)
            home[home_count++] = drawn(s, c, c.home[k]);
    }
    support.area = convex_hull(points, point_count);
    support.home_area = convex_hull(home, home_count);

    // Most stances can give the margin easily; only then is the exact greatest one not needed.
    const double asked = margin_of_sole * figure.sole_length;
    Vec2 middle;
    for (int i = 0; i < support.area.count; ++i)
        middle = middle + support.area.corner[i] * (1.0 / support.area.count);
    support.margin_asked = asked <= 0.5 * margin_of(support.area, middle)
                               ? asked
                               : std::min(asked, 0.5 * greatest_margin(support.area));
    support.bounds = moved_inwards(support.area, support.margin_asked);
    support.margin = margin_of(support.area, s.balance_point);
    return support;
}

Rest make_rest(const Figure& figure, const BodyPlan& plan, const Situation& s, const Support& support,
               double heft, const Travel& travel) {
    Rest rest;
    const Vec2 upright = upright_point(figure, plan, s);
    rest.home = nearest_point(support.home_area, upright);
    const double load = s.pressing.mass - s.body_pressing.mass;
    if (heft > 0 && load > 0)
        rest.home =
            nearest_point(support.home_area, rest.home + towards_even_shares(figure, s, rest.home) * heft);
    const bool travels = travel.part > 0;
    if (travels) rest.home = rest.home + travel.way * (travel.part * dot(upright - rest.home, travel.way));
    const Vec2 d = s.balance_point - s.body_point;
    const double length2 = dot(d, d);
    const double t = length2 > 0 ? std::clamp(dot(rest.home - s.body_point, d) / length2, 0.0, 1.0) : 0.0;
    rest.q = s.body_point + d * t;
    Vec2 judged = rest.q;
    if (travels) judged = judged + travel.way * (travel.part * dot(rest.home - rest.q, travel.way));
    const double lack = support.margin_asked - margin_of(support.area, judged);
    rest.phi = smooth_step(lack / (rise * figure.leg_length));
    rest.countered = rest.q;
    double phi = rest.phi;
    if (heft > 0 && load > 0) {
        rest.countered = rest.q + let_go(figure, s, support.area, rest.q, heft);
        const double asked = std::min(support.margin_asked, 0.5 * margin_of(support.area, rest.home));
        const double least = part_with_margin(support.area, rest.countered, rest.home, asked);
        const double kept = smooth_max(phi, least, 0.05) - 0.5 * 0.05;
        phi += heft * load / (load + little * figure.total_mass) * (std::clamp(kept, 0.0, 1.0) - phi);
    }
    rest.hips_way = (rest.home - rest.countered) * phi;
    rest.aim = rest.countered + rest.hips_way;

    double shares[APLOMB_MAX_CONTACTS];
    if (wished_shares(s, shares)) {
        const Vec2 wished = wished_point(figure, s, support.area, rest.home, shares);
        // All of it, fore and aft too: feet one ahead of the other share along the line that joins them.
        const Vec2 change = wished - rest.home;
        rest.home = wished;
        rest.hips_way = rest.hips_way + change;
        rest.aim = rest.aim + change;
    }
    return rest;
}

} // namespace aplomb
