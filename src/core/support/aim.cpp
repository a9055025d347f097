// SPDX-License-Identifier: MIT
#include "support/aim.h"

#include <algorithm>
#include <cmath>

#include "base/smooth.h"

namespace aplomb {
namespace {

constexpr int wishing_rounds = 20;
constexpr double wish_met = 1e-10; // of the leg's length
// Of the body's mass: under a load of this much the aim heeds half of what keeps the margin. By eye.
constexpr double little = 0.02;
constexpr double rise = 0.08; // of the leg's length: from the margin asked for down to a full aim at home

Vec2 nearest_on_home_line(const Wish& wish, const Vec2& to) {
    const Vec2 a = wish.home[0], d = wish.home[1] - a;
    const double length2 = dot(d, d);
    return length2 > 0 ? a + d * std::clamp(dot(to - a, d) / length2, 0.0, 1.0) : a;
}

/// The wished share of each contact; contacts without a wish divide what is left. False where nothing is wished.
bool wished_shares(const Wish* wishes, int count, double* shares) {
    double given = 0;
    int open = 0;
    for (int i = 0; i < count; ++i) {
        const double share = wishes[i].share;
        if (std::isnan(share))
            ++open;
        else
            given += share;
    }
    const double rest = open > 0 ? std::max(0.0, 1.0 - given) / open : 0.0;
    const double sum = given + rest * open;
    for (int i = 0; i < count; ++i) {
        const double share = wishes[i].share;
        shares[i] = (std::isnan(share) ? rest : share) / sum;
    }
    return open < count && sum > 0;
}

/// Where the weight has to come down for the contacts to bear the wished shares, by their evenest pressure: from
/// the shares' mean of the contacts' own homes on, by what each share still lacks there.
Vec2 wished_point(const Wish* wishes, int count, const BearingPoints& points, const Area& area, double leg,
                  const Vec2& home, const double* shares) {
    Vec2 homes[APLOMB_MAX_CONTACTS], wished;
    for (int i = 0; i < count; ++i) {
        homes[i] = nearest_on_home_line(wishes[i], home);
        wished = wished + homes[i] * shares[i];
    }
    for (int round = 0; round < wishing_rounds; ++round) {
        wished = nearest_point(area, wished);
        double forces[max_bearing_points];
        even_forces(points.point, points.count, wished, forces);
        Vec2 lack;
        for (int i = 0; i < count; ++i) {
            double borne = 0;
            for (int k = points.first[i]; k < points.first[i + 1]; ++k)
                borne += forces[k];
            lack = lack + homes[i] * (shares[i] - borne);
        }
        wished = wished + lack;
        if (norm(lack) < wish_met * leg) break;
    }
    return nearest_point(area, wished);
}

/// What of a load's pull is let go: q moves towards the loaded balance point by k D / sqrt(1 + (k D / room)^2) on each axis,
/// never past the middle half of the area. Standing, a front load goes to mid-foot; a long base needs little countering
/// (common practice; the numbers by eye).
Vec2 let_go(const AimInput& in, const Vec2& q) {
    const Area& area = in.support.area;
    const Vec2 pull = (in.balance_point - q) * in.of_loads;
    double part[2] = {};
    for (int axis = 0; axis < 2; ++axis) {
        const auto along = [axis](const Vec2& p) { return axis == 0 ? p.fore : p.left; };
        double low = 1e300, high = -1e300;
        for (int i = 0; i < area.count; ++i)
            low = std::min(low, along(area.corner[i])), high = std::max(high, along(area.corner[i]));
        const double length = high - low, middle = 0.5 * (high + low), d = along(pull);
        const double stride = smooth_step((length / in.sole - 1.25) / 1.25);
        const double k = in.heft * (axis == 0 && d > 0 ? 0.45 + 0.5 * stride : 0.95 * stride);
        const double to_go = middle + (d > 0 ? 0.25 : -0.25) * length - along(q);
        const double ahead = d > 0 ? to_go : -to_go, width = 0.02 * in.leg;
        const double room = (0.6 + 0.4 * stride) * 0.5 * (ahead + std::sqrt(ahead * ahead + width * width));
        const double wish = k * positive_part(std::fabs(d), 0.005 * in.leg);
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

/// Along the join of the feet's middles, at most to the line midway between them.
Vec2 towards_even_shares(const AimInput& in, const Vec2& home) {
    if (!(in.feet.set > 0)) return {};
    const Vec2 &a = in.feet.middle[0], &b = in.feet.middle[1];
    const double apart = norm(b - a);
    if (!(apart > 0)) return {};
    const Vec2 along = (b - a) * (1 / apart);
    const double way = dot((a + b) * 0.5 - home, along); // R, with its sign
    const double pulled =
        0.5 * in.of_loads * dot(in.balance_point - in.own_point, along) * (way < 0 ? -1.0 : 1.0);
    if (!(pulled > 0) || way == 0) return {};
    return along * (in.feet.set * way * pulled / std::sqrt(way * way + pulled * pulled));
}

} // namespace

Aim find_aim(const AimInput& in) {
    Aim aim;
    aim.of_loads = in.of_loads;
    aim.own_point = in.own_point;
    aim.home = nearest_point(in.support.home_area, in.upright);
    if (in.heft > 0 && in.load > 0)
        aim.home =
            nearest_point(in.support.home_area, aim.home + towards_even_shares(in, aim.home) * in.heft);
    const bool travels = in.travel.part > 0;
    if (travels)
        aim.home = aim.home +
                   in.travel.direction * (in.travel.part * dot(in.upright - aim.home, in.travel.direction));
    const Vec2 d = in.balance_point - in.own_point;
    const double length2 = dot(d, d);
    const double t = length2 > 0 ? std::clamp(dot(aim.home - in.own_point, d) / length2, 0.0, 1.0) : 0.0;
    aim.q = in.own_point + d * t;
    Vec2 judged = aim.q;
    if (travels)
        judged = judged + in.travel.direction * (in.travel.part * dot(aim.home - aim.q, in.travel.direction));
    const double lack = in.support.margin_asked - margin_of(in.support.area, judged);
    aim.phi = smooth_step(lack / (rise * in.leg));
    aim.countered = aim.q;
    double phi = aim.phi;
    if (in.heft > 0 && in.load > 0) {
        aim.countered = aim.q + let_go(in, aim.q);
        const double asked = std::min(in.support.margin_asked, 0.5 * margin_of(in.support.area, aim.home));
        const double least = part_with_margin(in.support.area, aim.countered, aim.home, asked);
        const double kept = smooth_max(phi, least, 0.05) - 0.5 * 0.05;
        phi += in.heft * in.load / (in.load + little * in.body) * (std::clamp(kept, 0.0, 1.0) - phi);
    }
    Vec2 way = aim.home - aim.countered;
    if (travels) way = way - in.travel.direction * (in.travel.part * dot(way, in.travel.direction));
    aim.hips_way = way * phi;
    aim.rest_point = aim.countered + aim.hips_way;
    return aim;
}

void heed_wishes(const Wish* wishes, int count, const BearingPoints& points, const Area& area, double leg,
                 Aim& aim) {
    double shares[APLOMB_MAX_CONTACTS];
    if (!wished_shares(wishes, count, shares)) return;
    const Vec2 wished = wished_point(wishes, count, points, area, leg, aim.home, shares);
    // The whole change, fore and aft too: with one foot ahead of the other the shares go by the line that joins them.
    const Vec2 change = wished - aim.home;
    aim.home = wished;
    aim.hips_way = aim.hips_way + change;
    aim.rest_point = aim.rest_point + change;
}

} // namespace aplomb
