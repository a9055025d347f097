// SPDX-License-Identifier: MIT
#include "capi/situation.h"

#include <algorithm>
#include <cmath>

#include "base/check.h"
#include "base/error.h"
#include "figure/frame.h"

namespace aplomb {
namespace {

constexpr double hanging_give_back = 0.5;

// Newtons, newton metres, and m/s^2 of gravity and of an acceleration: products with lengths stay finite.
constexpr double largest_force = 1e20;

constexpr double largest_load = 1e9; // kg

constexpr double no_length = 1e-100; // a shorter vector is as good as 0: the digits of its square are lost
constexpr double largest_friction = 1e6;
constexpr double largest_normal = 1e6;
constexpr double no_normal = 1e-9;
constexpr double along = 1e-3; // how far a contact's unit normal may be from the ground's

/// The first of three values that is not finite or further than `largest` from 0, or -1.
int bad_of(const double* v, double largest) {
    for (int k = 0; k < 3; ++k) {
        if (!(std::fabs(v[k]) <= largest)) return k;
    }
    return -1;
}
Vec3 vec3(const double* v) {
    return {v[0], v[1], v[2]};
}

aplomb_status check_normal(const Figure& figure, const Vec3& up, const aplomb_contact& c, int i,
                           aplomb_error* error) {
    for (int k = 0; k < 3; ++k) {
        if (!(std::fabs(c.normal[k]) <= largest_normal))
            return fail(error, APLOMB_BAD_ARGUMENT, "contacts", i,
                        "contacts[%d].normal[%d] is %g; it must be %g to %g.", i, k, c.normal[k],
                        -largest_normal, largest_normal);
    }
    const Vec3 normal = direction_in(figure.frame, {c.normal[0], c.normal[1], c.normal[2]});
    if (norm(normal) <= no_normal || norm(normalized(normal) - up) <= along) return APLOMB_OK;
    return fail(error, APLOMB_BAD_ARGUMENT, "contacts", i,
                "contacts[%d].normal is (%g, %g, %g), not along the ground's; only contacts that are level "
                "with the ground are solved so far.",
                i, c.normal[0], c.normal[1], c.normal[2]);
}

aplomb_status check_contact(const Figure& figure, const Vec3& up, const aplomb_contact& c, int i,
                            aplomb_error* error) {
    const auto bad = [&](const char* what, double value, double lowest, double highest) {
        return fail(error, APLOMB_BAD_ARGUMENT, "contacts", i, "contacts[%d].%s is %g; it must be %g to %g.",
                    i, what, value, lowest, highest);
    };
    if (c.limb < -1 || c.limb >= figure.limb_count) return bad("limb", c.limb, -1, figure.limb_count - 1);
    if (c.hold < APLOMB_FREE || c.hold > APLOMB_BEARING)
        return bad("hold", c.hold, APLOMB_FREE, APLOMB_BEARING);
    if (c.footing < APLOMB_FLAT || c.footing > APLOMB_ON_HEEL)
        return bad("footing", c.footing, APLOMB_FLAT, APLOMB_ON_HEEL);
    if (!(c.bearing >= 0 && c.bearing <= 1)) return bad("bearing", c.bearing, 0, 1);
    if (!std::isnan(c.share) && !(c.share >= 0 && c.share <= 1)) return bad("share", c.share, 0, 1);
    if (!(c.friction >= 0 && c.friction <= largest_friction))
        return bad("friction", c.friction, 0, largest_friction);
    if (c.ride < APLOMB_RIDE_USUAL || c.ride > APLOMB_RIDE_HIP)
        return bad("ride", c.ride, APLOMB_RIDE_USUAL, APLOMB_RIDE_HIP);
    if (c.ride == APLOMB_RIDE_PLACE && c.hold == APLOMB_FREE)
        return fail(
            error, APLOMB_BAD_ARGUMENT, "contacts", i,
            "contacts[%d].ride is APLOMB_RIDE_PLACE, but hold is APLOMB_FREE; a free end keeps no place.", i);
    if (c.ride == APLOMB_RIDE_HIP && c.hold != APLOMB_HELD)
        return fail(
            error, APLOMB_BAD_ARGUMENT, "contacts", i,
            "contacts[%d].ride is APLOMB_RIDE_HIP, but hold is %d; only an end that is held (1) rides "
            "with a hip joint.",
            i, c.hold);
    for (const double value : c.reserved) {
        if (!(value == 0))
            return fail(error, APLOMB_BAD_ARGUMENT, "contacts", i,
                        "contacts[%d].reserved holds %g; what is reserved must be 0.", i, value);
    }
    if (const aplomb_status s = check_normal(figure, up, c, i, error); s < 0) return s;
    if (c.limb >= 0) return APLOMB_OK;
    if (c.joint < 0 || c.joint >= figure.joint_count) return bad("joint", c.joint, 0, figure.joint_count - 1);
    if (c.point_count < 1 || c.point_count > max_sole_points)
        return bad("point_count", c.point_count, 1, max_sole_points);
    if (!c.points)
        return fail(error, APLOMB_BAD_ARGUMENT, "contacts", i,
                    "contacts[%d].points is NULL; %d points are needed.", i, c.point_count);
    const double largest = largest_length / figure.frame.metres_per_unit;
    for (int k = 0; k < 3 * c.point_count; ++k) {
        if (!(std::fabs(c.points[k]) <= largest)) return bad("points", c.points[k], -largest, largest);
    }
    return APLOMB_OK;
}

aplomb_status refuse_second(const aplomb_contact* contacts, int second, aplomb_error* error) {
    const int limb = contacts[second].limb;
    int first = 0;
    while (contacts[first].limb != limb)
        ++first;
    return fail(error, APLOMB_BAD_ARGUMENT, "contacts", second,
                "contacts[%d].limb is %d, as is contacts[%d]'s; a limb has one contact.", second, limb,
                first);
}

aplomb_status check_load(const Figure& figure, const aplomb_load& load, int i, aplomb_error* error) {
    const auto bad = [&](const char* what, double value, double lowest, double highest) {
        return fail(error, APLOMB_BAD_ARGUMENT, "loads", i, "loads[%d].%s is %g; it must be %g to %g.", i,
                    what, value, lowest, highest);
    };
    const int last = figure.joint_count - 1;
    if (!(load.mass >= 0 && load.mass <= largest_load)) return bad("mass", load.mass, 0, largest_load);
    if (load.holder[0] < 0 || load.holder[0] > last) return bad("holder[0]", load.holder[0], 0, last);
    if (load.holder[1] < -1 || load.holder[1] > last) return bad("holder[1]", load.holder[1], -1, last);
    const double largest = largest_length / figure.frame.metres_per_unit;
    if (const int k = bad_of(load.offset, largest); k >= 0)
        return fail(error, APLOMB_BAD_ARGUMENT, "loads", i,
                    "loads[%d].offset[%d] is %g; it must be %g to %g.", i, k, load.offset[k], -largest,
                    largest);
    if (load.hanging < 0 || load.hanging > 1) return bad("hanging", load.hanging, 0, 1);
    if (!(load.hang >= 0 && load.hang <= largest)) return bad("hang", load.hang, 0, largest);
    if (load.hang > 0 && load.hanging == 0)
        return fail(error, APLOMB_BAD_ARGUMENT, "loads", i,
                    "loads[%d].hang is %g, but hanging is 0; set hanging to 1, or hang to 0.", i, load.hang);
    if (!(load.level >= 0 && load.level <= 1)) return bad("level", load.level, 0, 1);
    for (int k = 0; k < 3; ++k) {
        if (!(load.half_size[k] >= 0 && load.half_size[k] <= largest))
            return fail(error, APLOMB_BAD_ARGUMENT, "loads", i,
                        "loads[%d].half_size[%d] is %g; it must be 0 to %g.", i, k, load.half_size[k],
                        largest);
    }
    return APLOMB_OK;
}

aplomb_status check_pull(const Figure& figure, const aplomb_pull& pull, int i, aplomb_error* error) {
    if (pull.joint < 0 || pull.joint >= figure.joint_count)
        return fail(error, APLOMB_BAD_ARGUMENT, "pulls", i, "pulls[%d].joint is %d; it must be 0 to %d.", i,
                    pull.joint, figure.joint_count - 1);
    const auto bad = [&](const char* what, int k, double value, double most) {
        return fail(error, APLOMB_BAD_ARGUMENT, "pulls", i, "pulls[%d].%s[%d] is %g; it must be %g to %g.", i,
                    what, k, value, -most, most);
    };
    const double largest = largest_length / figure.frame.metres_per_unit;
    if (const int k = bad_of(pull.point, largest); k >= 0) return bad("point", k, pull.point[k], largest);
    if (const int k = bad_of(pull.force, largest_force); k >= 0)
        return bad("force", k, pull.force[k], largest_force);
    return APLOMB_OK;
}

AskedContact contact_in(const Figure& figure, const aplomb_contact& given) {
    AskedContact asked;
    asked.limb = given.limb, asked.joint = given.joint;
    asked.hold = static_cast<aplomb_hold>(given.hold);
    asked.footing = static_cast<aplomb_footing>(given.footing);
    if (given.ride == APLOMB_RIDE_HIP) asked.ride = APLOMB_RIDE_HIP;
    asked.bearing = given.bearing, asked.share = given.share, asked.friction = given.friction;
    if (given.limb >= 0) return asked;
    asked.point_count = given.point_count;
    for (int i = 0; i < given.point_count; ++i)
        asked.point[i] = length_in(figure.frame, vec3(given.points + 3 * i));
    return asked;
}

AskedLoad load_in(const Figure& figure, const aplomb_load& given) {
    const double scale = figure.frame.metres_per_unit;
    AskedLoad asked;
    asked.mass = given.mass;
    asked.holder_count = given.holder[1] >= 0 ? 2 : 1;
    asked.holder[0] = given.holder[0], asked.holder[1] = given.holder[1];
    asked.offset = vec3(given.offset) * scale;
    asked.half_size = vec3(given.half_size) * scale;
    asked.hanging = given.hanging != 0;
    asked.cord = given.hang * scale;
    asked.give_back = given.hanging != 0 ? hanging_give_back : given.level;
    return asked;
}

AskedPull pull_in(const Figure& figure, const aplomb_pull& given) {
    return {given.joint, length_in(figure.frame, vec3(given.point)),
            direction_in(figure.frame, vec3(given.force))};
}

aplomb_status check_forces(const Figure& figure, const aplomb_situation& given, Ask& ask,
                           aplomb_error* error) {
    const struct {
        const char* name;
        const double* value;
    } vectors[] = {{"gravity", given.gravity},
                   {"ground_normal", given.ground_normal},
                   {"com_acceleration", given.com_acceleration},
                   {"angular_momentum_rate", given.angular_momentum_rate}};
    for (const auto& v : vectors) {
        if (const int k = bad_of(v.value, largest_force); k >= 0)
            return fail(error, APLOMB_BAD_ARGUMENT, v.name, k, "%s[%d] is %g; it must be %g to %g.", v.name,
                        k, v.value[k], -largest_force, largest_force);
    }
    const Vec3 gravity = direction_in(figure.frame, vec3(given.gravity));
    const Vec3 normal = direction_in(figure.frame, vec3(given.ground_normal));
    if (norm(gravity) >= no_length) ask.gravity = gravity;
    if (norm(normal) >= no_length) ask.normal = normalized(normal);
    const double pressing = -dot(ask.gravity, ask.normal) / norm(ask.gravity);
    if (!(pressing > 0))
        return fail(error, APLOMB_NO_SUPPORT, "gravity", -1,
                    "gravity does not press the figure to the ground; it must point against ground_normal.");
    if (pressing < least_pressing_cosine)
        return fail(
            error, APLOMB_NO_SUPPORT, "gravity", -1,
            "gravity hardly presses the figure to the ground: %.3g of it points against ground_normal; it "
            "must be at least %g.",
            pressing, least_pressing_cosine);
    ask.acceleration = length_in(figure.frame, vec3(given.com_acceleration));
    ask.momentum_rate = turning_in(figure.frame, vec3(given.angular_momentum_rate));
    return APLOMB_OK;
}

aplomb_status check_arrays(const aplomb_situation& given, aplomb_error* error) {
    if (!given.translations)
        return fail(error, APLOMB_BAD_ARGUMENT, "translations", -1,
                    "situation.translations is NULL; 3 numbers per joint are needed.");
    if (!given.rotations)
        return fail(error, APLOMB_BAD_ARGUMENT, "rotations", -1,
                    "situation.rotations is NULL; 4 numbers per joint are needed.");
    if (given.floats != 0 && given.floats != 1)
        return fail(error, APLOMB_BAD_ARGUMENT, "floats", -1, "situation.floats is %d; it must be 0 or 1.",
                    given.floats);
    const auto check = [&](const char* what, int count, const void* items, int most) {
        if (count < 0 || count > most)
            return fail(error, APLOMB_BAD_ARGUMENT, what, -1, "The number of %s is %d; it must be 0 to %d.",
                        what, count, most);
        if (count > 0 && !items)
            return fail(error, APLOMB_BAD_ARGUMENT, what, -1, "%s is NULL, but their number is %d.", what,
                        count);
        return APLOMB_OK;
    };
    if (const auto s = check("contacts", given.contact_count, given.contacts, APLOMB_MAX_CONTACTS); s < 0)
        return s;
    if (const auto s = check("loads", given.load_count, given.loads, APLOMB_MAX_LOADS); s < 0) return s;
    return check("pulls", given.pull_count, given.pulls, APLOMB_MAX_PULLS);
}

} // namespace

aplomb_status check_contacts(const Figure& figure, const Vec3& normal, const aplomb_contact* given, int count,
                             AskedContact* contacts, aplomb_error* error) {
    static_assert(max_limbs <= 32);
    uint32_t seen = 0; // a bit per limb
    for (int i = 0; i < count; ++i) {
        const int limb = given[i].limb;
        if (const auto bad = check_contact(figure, normal, given[i], i, error)) return bad;
        if (limb >= 0 && (seen >> limb & 1u)) return refuse_second(given, i, error);
        if (limb >= 0) seen |= 1u << limb;
        contacts[i] = contact_in(figure, given[i]);
    }
    return APLOMB_OK;
}

aplomb_status check_ask(const Figure& figure, const aplomb_situation& given, Ask& ask, aplomb_error* error) {
    if (const auto bad = check_arrays(given, error)) return bad;
    if (const auto bad = check_forces(figure, given, ask, error)) return bad;
    ask.gives_contacts = given.contacts != nullptr;
    ask.contact_count = given.contacts ? given.contact_count : 0;
    if (const auto bad =
            check_contacts(figure, ask.normal, given.contacts, ask.contact_count, ask.contact, error))
        return bad;
    ask.load_count = given.load_count;
    for (int i = 0; i < ask.load_count; ++i) {
        if (const auto bad = check_load(figure, given.loads[i], i, error)) return bad;
        ask.load[i] = load_in(figure, given.loads[i]);
    }
    ask.pull_count = given.pull_count;
    for (int i = 0; i < ask.pull_count; ++i) {
        if (const auto bad = check_pull(figure, given.pulls[i], i, error)) return bad;
        ask.pull[i] = pull_in(figure, given.pulls[i]);
    }
    return APLOMB_OK;
}

aplomb_status bring_pose(const Figure& figure, const aplomb_situation& given, const PoseRoom& room,
                         aplomb_error* error) {
    return pose_in(figure, {given.translations, given.rotations, given.floats != 0}, room.translations,
                   room.rotations, error);
}

aplomb_status bring_key(const Figure& figure, const BodyPlan& plan, const aplomb_situation& given,
                        const PoseRoom& room, Key& key, aplomb_error* error) {
    Ask ask;
    if (const auto bad = check_ask(figure, given, ask, error)) return bad;
    if (const auto bad = bring_pose(figure, given, room, error)) return bad;
    return tell(figure, measure(figure, plan, ask, room, key), error);
}

aplomb_contact contact_out(const AskedContact& asked) {
    aplomb_contact contact{};
    contact.limb = asked.limb;
    contact.joint = asked.joint;
    contact.hold = asked.hold;
    contact.footing = asked.footing;
    contact.ride = asked.ride == APLOMB_RIDE_HIP ? APLOMB_RIDE_HIP : APLOMB_RIDE_USUAL;
    contact.bearing = asked.bearing, contact.share = asked.share, contact.friction = asked.friction;
    return contact;
}

} // namespace aplomb
