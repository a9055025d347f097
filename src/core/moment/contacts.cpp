// SPDX-License-Identifier: MIT
// Rest zone and touching tolerances: common practice.
#include "moment/contacts.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/error.h"
#include "figure/frame.h"

namespace aplomb {
namespace {

constexpr double bearing_height = 0.045; // of the leg's length: a sole this near to the lowest one bears
constexpr double part_height = 0.045;    // of the leg's length: a part of it this near touches
constexpr double zone_from = 0.25, zone_to = 0.55; // along the touching part, from its back
constexpr double zone_breadth = 0.25;              // of the breadth, to each side of the centre line

/// A point of the neutral's centre line, carried by the part of the foot that it is on. `place` gives a joint's
/// place in the world.
template<class Place>
Vec3 carried(const Figure& figure, const Limb& limb, const Place& place, const Vec3& in_end, bool on_ball) {
    if (!on_ball || limb.toe < 0) return to_world(place(limb.end), in_end);
    const Joint &end = figure.joints[limb.end], &toe = figure.joints[limb.toe];
    const Vec3 neutral = end.neutral_position + rotate(end.neutral, in_end);
    return to_world(place(limb.toe), rotate(conjugate(toe.neutral), neutral - toe.neutral_position));
}

/// Of the heel's rear end, of the ball's lowest point, and of the lowest point of all.
struct SoleHeights {
    double heel = 1e300, ball = 1e300, lowest = 1e300;
};

template<class Place>
SoleHeights heights_of(const Figure& figure, const Limb& limb, const Place& place, const Vec3& up) {
    const Sole& sole = limb.sole;
    SoleHeights h;
    if (sole.is_paw && sole.point_count > 0) { // round and soft: where its middle is, however it tilts
        const Vec3 middle = (sole.heel + sole.tip) * 0.5;
        h.heel = h.ball = h.lowest = dot(up, carried(figure, limb, place, middle, true));
        return h;
    }
    for (int i = 0; i < sole.point_count; ++i) {
        const Sole::Point& p = sole.points[i];
        const double height = dot(up, to_world(place(p.joint), p.position));
        if (p.ball) h.ball = std::min(h.ball, height);
        h.lowest = std::min(h.lowest, height);
    }
    // A heel part reaches to the ball line, which stays down when the heel is up.
    if (sole.point_count > 0) h.heel = dot(up, carried(figure, limb, place, sole.heel, sole.is_paw));
    return h;
}

bool touches(const Sole::Point& point, int footing) {
    return footing == APLOMB_FLAT || point.ball == (footing == APLOMB_ON_BALL);
}

bool stands_on_sole(const Figure& figure, const Contact& c) {
    return c.limb >= 0 && figure.limbs[c.limb].sole.point_count > 0;
}

void place_home(Contact& c) {
    c.home[0] = c.back + (c.tip - c.back) * zone_from;
    c.home[1] = c.back + (c.tip - c.back) * zone_to;
}

void place_sole(const Figure& figure, const Placement* world, int footing, Contact& c) {
    const Limb& limb = figure.limbs[c.limb];
    const Sole& sole = limb.sole;
    const auto place = [world](int32_t joint) -> const Placement& { return world[joint]; };
    for (int pass = 0; pass < 2 && c.point_count == 0; ++pass) { // a sole of one part touches with it
        for (int i = 0; i < sole.point_count; ++i) {
            const Sole::Point& p = sole.points[i];
            if (pass == 0 && !touches(p, footing)) continue;
            c.point[c.point_count++] = to_world(world[p.joint], p.position);
        }
    }
    const double ball = sole.ball_place;
    const Vec3 ball_in_end = sole.heel + (sole.tip - sole.heel) * ball;
    c.back_place = footing == APLOMB_ON_BALL ? ball : 0;
    c.tip_place = footing == APLOMB_ON_HEEL ? ball : 1;
    c.back = footing == APLOMB_ON_BALL ? carried(figure, limb, place, ball_in_end, true)
                                       : carried(figure, limb, place, sole.heel, sole.is_paw);
    c.tip = footing == APLOMB_ON_HEEL ? carried(figure, limb, place, ball_in_end, sole.is_paw)
                                      : carried(figure, limb, place, sole.tip, true);
    place_home(c);
}

/// A patch without a sole's shape: its home is its middle, its zone the half of it around that.
void place_patch(const Placement& at, const AskedContact& asked, Contact& c) {
    Vec3 middle;
    for (int i = 0; i < asked.point_count; ++i) {
        c.point[i] = to_world(at, asked.point[i]);
        middle += c.point[i] / asked.point_count;
    }
    c.point_count = asked.point_count;
    c.home[0] = c.home[1] = c.back = c.tip = middle;
    c.back_place = c.tip_place = 0.5;
}

/// Whether the trunk's links, from the spine up, carry this joint, or limbs do; the hips otherwise.
struct Carrier {
    int limb = -1;
    bool at_end = false; // of the limb: beyond its second span
    bool trunk = false, hips = false;
};

Carrier carrier_of(const Figure& figure, int joint) {
    const auto leans = [&](const LeanJoint* lean, int count, int j) {
        return std::any_of(lean, lean + count, [j](const LeanJoint& one) { return one.joint == j; });
    };
    Carrier carrier;
    for (int j = joint; j >= 0; j = figure.joints[j].carrier) {
        for (int i = 0; i < figure.limb_count && carrier.limb < 0; ++i) {
            const Limb& limb = figure.limbs[i];
            if (j != limb.upper && j != limb.lower && j != limb.end) continue;
            carrier.limb = i;
            carrier.at_end = j == limb.end;
        }
        carrier.trunk = carrier.trunk || leans(figure.spine, figure.spine_count, j) ||
                        leans(figure.neck, figure.neck_count, j);
        carrier.hips = carrier.hips || j == figure.hips;
    }
    return carrier;
}

/// A patch keeps its place: what it is on may not move.
void keep_patches_still(const Figure& figure, Stance& stance) {
    for (int i = 0; i < stance.contact_count; ++i) {
        const Contact& c = stance.contact[i];
        if (c.limb >= 0) continue;
        const Carrier carrier = carrier_of(figure, c.joint);
        const bool on_limb = carrier.limb >= 0;
        if (on_limb && (carrier.at_end || carrier.trunk))
            stance.hold[carrier.limb] = APLOMB_BEARING;
        else if (carrier.trunk && stance.trunk_patch < 0)
            stance.trunk_patch = i;
        else if (carrier.hips)
            stance.hips_still = true;
    }
}

template<class Place, class Keep>
int contacts_shown(const Figure& figure, const Place& place, const Vec3& up, Keep keep) {
    SoleHeights heights[max_limbs];
    double lowest = 1e300;
    for (int i = 0; i < figure.limb_count; ++i) {
        if (figure.limbs[i].kind == APLOMB_ARM) continue;
        heights[i] = heights_of(figure, figure.limbs[i], place, up);
        lowest = std::min(lowest, heights[i].lowest);
    }
    for (int i = 0; i < figure.limb_count; ++i) {
        const Limb& limb = figure.limbs[i];
        AskedContact contact = usual_contact(i, APLOMB_FREE);
        if (limb.kind == APLOMB_ARM) {
            keep(contact);
            continue;
        }
        const SoleHeights& h = heights[i];
        const bool bears =
            limb.sole.point_count > 0 && h.lowest <= lowest + bearing_height * figure.leg_length;
        contact.hold = bears ? APLOMB_BEARING : APLOMB_HELD;
        if (!bears) contact.ride = APLOMB_RIDE_HIP;
        const double part = lowest + part_height * figure.leg_length;
        if (h.heel > part && h.ball <= part) contact.footing = APLOMB_ON_BALL;
        if (h.ball > part && h.heel <= part) contact.footing = APLOMB_ON_HEEL;
        keep(contact);
    }
    return figure.limb_count;
}

/// From the joint up to the root.
Placement place_of(const Figure& figure, const double* translations, const double* rotations, int32_t joint) {
    Placement place;
    for (int32_t j = joint; j >= 0; j = figure.joints[j].parent) {
        const double* t = translations + 3 * static_cast<size_t>(j);
        const double* q = rotations + 4 * static_cast<size_t>(j);
        const Vec3 position = length_in(figure.frame, {t[0], t[1], t[2]});
        const Quat rotation = rotation_in(figure.frame, normalized(Quat{q[0], q[1], q[2], q[3]}));
        place = {to_world({position, rotation}, place.position), rotation * place.rotation};
    }
    return place;
}

} // namespace

int default_contacts(const Figure& figure, const Placement* world, const Vec3& up, AskedContact* contacts) {
    return contacts_shown(
        figure, [world](int32_t joint) -> const Placement& { return world[joint]; }, up,
        [&](const AskedContact& contact) { *contacts++ = contact; });
}

int default_contacts(const Figure& figure, const double* translations, const double* rotations,
                     void (*keep)(const AskedContact& contact, void* to), void* to) {
    const auto place = [&](int32_t joint) { return place_of(figure, translations, rotations, joint); };
    return contacts_shown(figure, place, {0, 1, 0},
                          [keep, to](const AskedContact& contact) { keep(contact, to); });
}

int zone_of(const Figure& figure, const Contact& c, const Vec3& up, Vec3* zone) {
    if (!stands_on_sole(figure, c)) { // a palm, or the half of a patch around its middle
        for (int i = 0; i < c.point_count; ++i)
            zone[i] = c.home[0] + (c.point[i] - c.home[0]) * 0.5;
        return c.point_count;
    }
    const Vec3 level = reject(c.tip - c.back, up);
    const double half = figure.limbs[c.limb].sole.breadth * zone_breadth;
    const Vec3 side = norm(level) > 1e-9 ? cross(up, normalized(level)) * half : Vec3{};
    zone[0] = c.home[0] - side, zone[1] = c.home[1] - side;
    zone[2] = c.home[1] + side, zone[3] = c.home[0] + side;
    return 4;
}

void make_stance(const Figure& figure, const Placement* world, const AskedContact* contacts, int count,
                 Stance& stance) {
    stance.contact_count = 0;
    stance.hips_still = false;
    stance.trunk_patch = -1;
    std::fill(stance.hold, stance.hold + max_limbs, APLOMB_FREE);
    std::fill(stance.ride, stance.ride + max_limbs, APLOMB_RIDE_PLACE);
    for (int i = 0; i < count; ++i) {
        const AskedContact& given = contacts[i];
        if (given.limb >= 0) stance.hold[given.limb] = given.hold, stance.ride[given.limb] = given.ride;
        if (given.hold != APLOMB_BEARING) continue;
        const bool sole = given.limb >= 0 && figure.limbs[given.limb].sole.point_count > 0;
        if (given.limb >= 0 && !sole && figure.limbs[given.limb].kind != APLOMB_ARM) continue;
        Contact& c = stance.contact[stance.contact_count];
        c = Contact{};
        c.given = i;
        c.limb = given.limb;
        c.joint = given.limb >= 0 ? figure.limbs[given.limb].end : given.joint;
        c.bearing = given.bearing, c.share = given.share, c.friction = given.friction;
        if (sole) {
            place_sole(figure, world, given.footing, c);
        } else if (given.limb >= 0) { // a hand leans on its palm
            c.point_count = 1;
            c.point[0] = to_world(world[c.joint], figure.limbs[given.limb].palm);
            c.home[0] = c.home[1] = c.back = c.tip = c.point[0];
            c.back_place = c.tip_place = 0.5;
        } else {
            place_patch(world[given.joint], given, c);
        }
        if (c.bearing > 0) ++stance.contact_count;
    }
    keep_patches_still(figure, stance);
}

WholeSole sole_of(const Figure& figure, const Placement* world, int limb) {
    const Limb& foot = figure.limbs[limb];
    WholeSole whole;
    Contact& c = whole.contact;
    c.limb = limb, c.joint = foot.end;
    c.friction = usual_friction, c.share = std::numeric_limits<double>::quiet_NaN();
    place_sole(figure, world, APLOMB_FLAT, c);
    const Vec3 in_end = foot.sole.heel + (foot.sole.tip - foot.sole.heel) * foot.sole.ball_place;
    whole.ball_line = carried(
        figure, foot, [world](int32_t joint) -> const Placement& { return world[joint]; }, in_end, true);
    return whole;
}

WholeSole footprint(const Figure& figure, int limb, const Vec3& up, const Vec3& heel, const Vec3& tip) {
    const Limb& foot = figure.limbs[limb];
    const Sole& sole = foot.sole;
    const Joint& end = figure.joints[foot.end];
    WholeSole whole;
    whole.ball_line = heel + (tip - heel) * sole.ball_place;
    Contact& c = whole.contact;
    c.limb = limb, c.joint = foot.end;
    c.friction = usual_friction, c.share = std::numeric_limits<double>::quiet_NaN();
    c.back = heel, c.tip = tip;
    place_home(c);
    const Vec3 line = sole.tip - sole.heel;
    const Vec3 own_up = rotate(conjugate(end.neutral), {0, 1, 0});
    const auto side_of = [](const Vec3& to_tip, const Vec3& normal) {
        const Vec3 side = cross(normal, to_tip);
        const double length = norm(side);
        return length > 1e-9 ? side / length : Vec3{};
    };
    const Vec3 own_side = side_of(line, own_up), side = side_of(tip - heel, up);
    c.point_count = sole.point_count;
    for (int i = 0; i < sole.point_count; ++i) {
        const Joint& joint = figure.joints[sole.points[i].joint];
        const Vec3 neutral = joint.neutral_position + rotate(joint.neutral, sole.points[i].position);
        const Vec3 from_heel = rotate(conjugate(end.neutral), neutral - end.neutral_position) - sole.heel;
        c.point[i] =
            heel + (tip - heel) * (dot(from_heel, line) / dot(line, line)) + side * dot(from_heel, own_side);
    }
    return whole;
}

Contact with_bearings(const Figure& figure, const WholeSole& whole, double heel, double ball) {
    Contact c = whole.contact;
    if (heel == ball) return c;
    const Sole& sole = figure.limbs[c.limb].sole;
    const bool ball_is_weak = ball < heel;
    const double ratio = ball_is_weak ? ball / heel : heel / ball;
    Vec3 middle;
    int strong = 0;
    for (int i = 0; i < c.point_count; ++i)
        if (sole.points[i].ball != ball_is_weak) middle += c.point[i], ++strong;
    if (strong == 0) return c; // a sole of one part
    middle = middle / strong;
    for (int i = 0; i < c.point_count; ++i)
        if (sole.points[i].ball == ball_is_weak) c.point[i] = middle + (Vec3(c.point[i]) - middle) * ratio;
    const double place = sole.ball_place;
    const Vec3& between = whole.ball_line;
    if (ball_is_weak)
        c.tip = between + (c.tip - between) * ratio, c.tip_place = place + (1 - place) * ratio;
    else
        c.back = between + (c.back - between) * ratio, c.back_place = place * (1 - ratio);
    place_home(c);
    return c;
}

aplomb_status check_correctable(const Figure& figure, const Stance& stance, aplomb_error* error) {
    if (stance.trunk_patch < 0) return APLOMB_OK;
    const Contact& c = stance.contact[stance.trunk_patch];
    return fail(
        error, APLOMB_BAD_ARGUMENT, "contacts", c.given,
        "contacts[%d] bears on joint %d (%.64s), which a correction moves; of the trunk only the hips "
        "can bear.",
        c.given, c.joint, figure.joints[c.joint].name);
}

} // namespace aplomb
