// SPDX-License-Identifier: MIT
#include "moment/situation.h"

#include <algorithm>
#include <cmath>

#include "base/check.h"
#include "base/error.h"
#include "figure/frame.h"

namespace aplomb {
namespace {

constexpr double hanging_give_back = 0.5;

// Newton, m/s^2 of gravity and of an acceleration, and newton metres: products with lengths stay finite.
constexpr double largest_force = 1e20;

constexpr double largest_load = 1e9; // kg

constexpr double no_length = 1e-100; // a shorter vector is as good as 0: the digits of its square are lost

// Cosine: nearer to the ground's plane than this, gravity moves a metre of height a kilometre along the ground.
constexpr double least_pressing = 1e-3;

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

Vec3 middle_of_wrists(const Figure& figure, const Load& load, const Placement* world) {
    return 0.5 *
           (world[figure.limbs[load.arm[0]].end].position + world[figure.limbs[load.arm[1]].end].position);
}

Vec3 in_frame(const Placement& p, const Vec3& point) {
    return rotate(conjugate(p.rotation), point - p.position);
}

/// A hand counts at its palm, every other joint at its origin.
Vec3 grip(const Figure& figure, const Placement* world, int joint) {
    for (int i = 0; i < figure.limb_count; ++i) {
        const Limb& limb = figure.limbs[i];
        if (limb.end == joint && limb.kind == APLOMB_ARM) return to_world(world[joint], limb.palm);
    }
    return world[joint].position;
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

/// The free arm that this joint is on, or -1.
int free_arm(const Figure& figure, const Situation& s, int joint) {
    for (int i = 0; i < figure.limb_count; ++i) {
        const Limb& limb = figure.limbs[i];
        if (limb.kind == APLOMB_ARM && s.stance.hold[i] == APLOMB_FREE && rides_on(figure, joint, limb.upper))
            return i;
    }
    return -1;
}

/// Two hands carry what they hold level: one pair of them, whatever they hold.
bool is_level(const Figure& figure, const Situation& s, const Load& load) {
    if (load.holder_count != 2 || load.arm[0] < 0 || load.arm[1] < 0 || load.arm[0] == load.arm[1])
        return false;
    for (int k = 0; k < 2; ++k)
        if (!rides_on(figure, load.holder[k], figure.limbs[load.arm[k]].end)) return false;
    return std::all_of(s.load, &load, [&](const Load& other) {
        return !other.level || std::is_permutation(other.arm, other.arm + 2, load.arm);
    });
}

void find_level(const Figure& figure, const Situation& s, Load& load) {
    for (int k = 0; k < load.holder_count; ++k)
        load.arm[k] = free_arm(figure, s, load.holder[k]);
    load.level = is_level(figure, s, load);
    if (!load.level) return;
    load.chest = s.body.world[figure.chest].rotation;
    load.from_wrists = load.centre - load.hang - middle_of_wrists(figure, load, s.body.world);
}

aplomb_status bring_loads(const Figure& figure, const aplomb_situation& given, Situation& s,
                          aplomb_error* error) {
    s.load_count = given.load_count;
    for (int i = 0; i < given.load_count; ++i) {
        const aplomb_load& g = given.loads[i];
        if (const aplomb_status bad = check_load(figure, g, i, error); bad < 0) return bad;
        Load& load = s.load[i];
        load = Load{};
        load.mass = g.mass, load.holder[0] = g.holder[0], load.holder[1] = g.holder[1];
        load.hanging = g.hanging != 0;
        load.give_back = load.hanging ? hanging_give_back : g.level;
        load.holder_count = g.holder[1] >= 0 ? 2 : 1;
        Vec3 held = grip(figure, s.body.world, g.holder[0]);
        if (load.holder_count == 2) held = (held + grip(figure, s.body.world, g.holder[1])) * 0.5;
        const double scale = figure.frame.metres_per_unit;
        held += (s.ground.left * g.offset[0] + s.ground.normal * g.offset[1] + s.ground.fore * g.offset[2]) *
                scale;
        for (int k = 0; k < load.holder_count; ++k)
            load.local[k] = in_frame(s.body.world[load.holder[k]], held);
        if (load.hanging) load.hang = normalized(s.ground.felt) * (g.hang * scale);
        load.centre = held + load.hang;
        find_level(figure, s, load);
        load.half_size = Vec3{g.half_size[0], g.half_size[1], g.half_size[2]} * scale;
    }
    return APLOMB_OK;
}

aplomb_status bring_pulls(const Figure& figure, const aplomb_situation& given, Situation& s,
                          aplomb_error* error) {
    s.pull_count = given.pull_count;
    for (int i = 0; i < given.pull_count; ++i) {
        const aplomb_pull& g = given.pulls[i];
        if (g.joint < 0 || g.joint >= figure.joint_count)
            return fail(error, APLOMB_BAD_ARGUMENT, "pulls", i, "pulls[%d].joint is %d; it must be 0 to %d.",
                        i, g.joint, figure.joint_count - 1);
        const auto bad = [&](const char* what, int k, double value, double most) {
            return fail(error, APLOMB_BAD_ARGUMENT, "pulls", i,
                        "pulls[%d].%s[%d] is %g; it must be %g to %g.", i, what, k, value, -most, most);
        };
        const double largest = largest_length / figure.frame.metres_per_unit;
        if (const int k = bad_of(g.point, largest); k >= 0) return bad("point", k, g.point[k], largest);
        if (const int k = bad_of(g.force, largest_force); k >= 0)
            return bad("force", k, g.force[k], largest_force);
        const Vec3 local = length_in(figure.frame, vec3(g.point));
        s.pull[i] = {g.joint, local, to_world(s.body.world[g.joint], local),
                     direction_in(figure.frame, vec3(g.force))};
    }
    return APLOMB_OK;
}

aplomb_status bring_ground(const Figure& figure, const aplomb_situation& given, Situation& s,
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
    Vec3 gravity = direction_in(figure.frame, vec3(given.gravity));
    Vec3 normal = direction_in(figure.frame, vec3(given.ground_normal));
    if (norm(gravity) < no_length) gravity = {0, -standard_gravity, 0};
    normal = norm(normal) < no_length ? Vec3{0, 1, 0} : normalized(normal);
    const double pressing = -dot(gravity, normal) / norm(gravity);
    if (!(pressing > 0))
        return fail(error, APLOMB_NO_SUPPORT, "gravity", -1,
                    "gravity does not press the figure to the ground; it must point against ground_normal.");
    if (pressing < least_pressing)
        return fail(
            error, APLOMB_NO_SUPPORT, "gravity", -1,
            "gravity hardly presses the figure to the ground: %.3g of it points against ground_normal; it "
            "must be at least %g.",
            pressing, least_pressing);
    const Vec3 acceleration = length_in(figure.frame, vec3(given.com_acceleration));
    s.ground = make_ground(s.body.world[figure.hips].position, normal, gravity, acceleration,
                           s.body.hips_from_neutral);
    if (!(-dot(s.ground.felt, normal) / norm(s.ground.felt) >= least_pressing))
        return fail(error, APLOMB_NO_SUPPORT, "com_acceleration", -1,
                    "gravity less the acceleration does not press the figure to the ground: it falls or is "
                    "thrown aside; at least %g of it must point against ground_normal.",
                    least_pressing);
    s.momentum_rate = turning_in(figure.frame, vec3(given.angular_momentum_rate));
    return APLOMB_OK;
}

/// Whether a place, projected along gravity, is known and near: false for NaN, too.
class Near {
public:
    explicit Near(const Ground& ground)
        : ground_(ground), slide_(ground.felt / dot(ground.normal, ground.felt)) {}
    bool operator()(const Vec3& place) const {
        const Vec3 d = place - ground_.origin;
        const double height = dot(ground_.normal, d);
        const Vec3 flat = d - slide_ * height;
        return dot(flat, flat) <= farthest_square && height * height <= farthest_square;
    }
    static bool is_met(const Vec2& p) { return dot(p, p) <= farthest_square; }

private:
    static constexpr double farthest_square = farthest_place * farthest_place;
    const Ground& ground_;
    Vec3 slide_; // along gravity as it is felt, by a height of 1
};

aplomb_status check_contacts(const Figure& figure, const Situation& s, aplomb_error* error) {
    const Near near(s.ground);
    for (int i = 0; i < s.stance.contact_count; ++i) {
        const Contact& c = s.stance.contact[i];
        bool all_near = near(c.back) && near(c.tip);
        for (int k = 0; k < c.point_count; ++k)
            all_near = all_near && near(c.point[k]);
        if (all_near) continue;
        return fail(
            error, APLOMB_NO_SUPPORT, "contacts", i,
            "The contact of joint %d (%.64s) has a point that is not within %g m of the hips along the "
            "ground; is the figure's unit right?",
            c.joint, figure.joints[c.joint].name, farthest_place);
    }
    return APLOMB_OK;
}

/// The plane goes through the lowest bearing point; in flight it stays where it was made.
void settle_ground(Situation& s) {
    double lowest = 1e300;
    for (int i = 0; i < s.stance.contact_count; ++i) {
        const Contact& c = s.stance.contact[i];
        for (int k = 0; k < c.point_count; ++k)
            lowest = std::min(lowest, s.ground.height(c.point[k]));
    }
    if (s.stance.contact_count > 0) s.ground.origin += s.ground.normal * lowest;
}

/// Joints that the moment's contacts, loads and pulls are on, where they are joints at all.
void place_touched(const Figure& figure, const BodyPlan& plan, const aplomb_situation& given, Situation& s) {
    const auto place = [&](int joint) {
        if (joint >= 0 && joint < figure.joint_count) place_further(figure, plan, s.pose, joint, s.body);
    };
    for (int i = 0; given.contacts && i < given.contact_count; ++i) {
        if (given.contacts[i].limb < 0) place(given.contacts[i].joint);
    }
    for (int i = 0; i < given.load_count; ++i) {
        place(given.loads[i].holder[0]);
        place(given.loads[i].holder[1]);
    }
    for (int i = 0; i < given.pull_count; ++i)
        place(given.pulls[i].joint);
}

/// The same of another pose; contacts stay where they are.
void place_carriers(const Figure& figure, const BodyPlan& plan, const Situation& s, const PoseView& pose,
                    Body& body) {
    for (int i = 0; i < s.load_count; ++i) {
        for (int k = 0; k < s.load[i].holder_count; ++k)
            place_further(figure, plan, pose, s.load[i].holder[k], body);
    }
    for (int i = 0; i < s.pull_count; ++i)
        place_further(figure, plan, pose, s.pull[i].joint, body);
}

Vec3 carried_centre(const Figure& figure, const Situation& s, const Load& load, const Placement* world) {
    Vec3 centre = load.hang;
    if (load.level) {
        const Vec3 turn = log_rotation(world[figure.chest].rotation * conjugate(load.chest));
        const Quat twist = exp_rotation(s.ground.normal * dot(s.ground.normal, turn));
        return centre + middle_of_wrists(figure, load, world) + rotate(twist, load.from_wrists);
    }
    for (int k = 0; k < load.holder_count; ++k)
        centre += to_world(world[load.holder[k]], load.local[k]) / load.holder_count;
    return centre;
}

/// Of a first moment about the world's origin.
template<class PullAt>
Vec2 balance_point_of(const Ground& ground, const Pressing& pressing, const Vec3& first_moment,
                      PullAt pull_at) {
    return pressing.balance_point(first_moment - ground.origin * pressing.mass,
                                  [&](int k) { return pull_at(k) - ground.origin; });
}

void find_balance_points(Situation& s) {
    const auto pull_at = [&](int k) { return s.pull[k].point; };
    Vec3 moment = s.body.first_moment;
    s.body_point = balance_point_of(s.ground, s.body_pressing, moment, pull_at);
    for (int i = 0; i < s.load_count; ++i)
        moment += s.load[i].centre * s.load[i].mass;
    s.balance_point = balance_point_of(s.ground, s.pressing, moment, pull_at);
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

aplomb_status bring_pose(const Figure& figure, const BodyPlan& plan, const aplomb_situation& given,
                         const SituationMemory& memory, Situation& s, aplomb_error* error) {
    if (const aplomb_status bad = check_arrays(given, error); bad < 0) return bad;
    aplomb_status status = pose_in(figure, {given.translations, given.rotations, given.floats != 0},
                                   memory.translations, memory.rotations, error);
    if (status < 0) return status;
    s.pose = {memory.translations, memory.rotations};
    s.body.world = memory.world, s.body.centre = memory.centre;
    measure_body(figure, plan, s.pose, s.body);
    place_touched(figure, plan, given, s);
    return bring_ground(figure, given, s, error);
}

aplomb_status bring_carried(const Figure& figure, const aplomb_situation& given, Situation& s,
                            aplomb_error* error) {
    aplomb_status status;
    if (status = check_contacts(figure, s, error); status < 0) return status;
    settle_ground(s);
    if (status = bring_loads(figure, given, s, error); status < 0) return status;
    if (status = bring_pulls(figure, given, s, error); status < 0) return status;
    Vec3 forces[APLOMB_MAX_PULLS];
    double mass = figure.total_mass;
    for (int i = 0; i < s.pull_count; ++i)
        forces[i] = s.pull[i].force;
    for (int i = 0; i < s.load_count; ++i)
        mass += s.load[i].mass;
    s.pressing = make_pressing(s.ground, mass, forces, s.pull_count, s.momentum_rate);
    s.body_pressing = make_pressing(s.ground, figure.total_mass, forces, s.pull_count, s.momentum_rate);
    if (!s.pressing.valid() || !s.body_pressing.valid())
        return fail(error, APLOMB_NO_SUPPORT, "pulls", -1,
                    "The figure does not press on the ground: pulls lift it off; lessen their upward force.");
    find_balance_points(s);
    return check_balance_points(s, error);
}

aplomb_status make_situation(const Figure& figure, const BodyPlan& plan, const aplomb_situation& given,
                             const SituationMemory& memory, Situation& s, aplomb_error* error) {
    if (const aplomb_status bad = bring_pose(figure, plan, given, memory, s, error); bad < 0) return bad;
    aplomb_contact shown[APLOMB_MAX_CONTACTS];
    const aplomb_contact* contacts = given.contacts ? given.contacts : shown;
    const int count =
        given.contacts ? given.contact_count : default_contacts(figure, s.body.world, s.ground.normal, shown);
    const aplomb_status status =
        make_stance(figure, s.body.world, s.ground.normal, contacts, count, s.stance, error);
    if (status < 0) return status;
    if (s.stance.contact_count == 0)
        return fail(error, APLOMB_NO_SUPPORT, "contacts", -1,
                    "No contact bears weight; set hold to APLOMB_BEARING and bearing above 0 on one with a "
                    "sole, a palm or points.");
    return bring_carried(figure, given, s, error);
}

aplomb_status check_balance_points(const Situation& s, aplomb_error* error) {
    for (const Vec2& p : {s.balance_point, s.body_point}) {
        if (Near::is_met(p)) continue;
        return fail(error, APLOMB_NO_SUPPORT, "pulls", -1,
                    "The figure hardly presses on the ground: its balance point is %g m away; at most %g m "
                    "are allowed. Lessen the pulls%s, or check the figure's unit.",
                    norm(p), farthest_place, norm(s.momentum_rate) > 0 ? " and angular_momentum_rate" : "");
    }
    return APLOMB_OK;
}

void repose(const Figure& figure, const BodyPlan& plan, const PoseView& pose, Situation& s) {
    s.pose = pose;
    measure_body(figure, plan, pose, s.body);
    place_carriers(figure, plan, s, pose, s.body);
    for (int i = 0; i < s.load_count; ++i)
        s.load[i].centre = carried_centre(figure, s, s.load[i], s.body.world);
    for (int i = 0; i < s.pull_count; ++i)
        s.pull[i].point = to_world(s.body.world[s.pull[i].joint], s.pull[i].local);
    find_balance_points(s);
}

Vec2 balance_point_of_pose(const Figure& figure, const BodyPlan& plan, const Situation& s,
                           const PoseView& pose, Body& body) {
    measure_body(figure, plan, pose, body);
    place_carriers(figure, plan, s, pose, body);
    Vec3 moment = body.first_moment;
    for (int i = 0; i < s.load_count; ++i)
        moment += carried_centre(figure, s, s.load[i], body.world) * s.load[i].mass;
    return balance_point_of(s.ground, s.pressing, moment,
                            [&](int k) { return to_world(body.world[s.pull[k].joint], s.pull[k].local); });
}

} // namespace aplomb
