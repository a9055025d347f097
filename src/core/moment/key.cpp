// SPDX-License-Identifier: MIT
#include "moment/key.h"

#include <algorithm>
#include <cmath>

namespace aplomb {
namespace {

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

/// The free arm that this joint is on, or -1.
int free_arm(const Figure& figure, const Key& key, int joint) {
    for (int i = 0; i < figure.limb_count; ++i) {
        const Limb& limb = figure.limbs[i];
        if (limb.kind == APLOMB_ARM && key.stance.hold[i] == APLOMB_FREE &&
            rides_on(figure, joint, limb.upper))
            return i;
    }
    return -1;
}

/// Two hands carry what they hold level: one pair of them, whatever they hold.
bool is_level(const Figure& figure, const Key& key, const Load& load) {
    if (load.holder_count != 2 || load.arm[0] < 0 || load.arm[1] < 0 || load.arm[0] == load.arm[1])
        return false;
    for (int k = 0; k < 2; ++k)
        if (!rides_on(figure, load.holder[k], figure.limbs[load.arm[k]].end)) return false;
    return std::all_of(key.load, &load, [&](const Load& other) {
        return !other.level || std::is_permutation(other.arm, other.arm + 2, load.arm);
    });
}

void find_level(const Figure& figure, const Key& key, Load& load) {
    for (int k = 0; k < load.holder_count; ++k)
        load.arm[k] = free_arm(figure, key, load.holder[k]);
    load.level = is_level(figure, key, load);
    if (!load.level) return;
    load.chest = key.body.world[figure.chest].rotation;
    load.from_wrists = load.centre - load.hang - middle_of_wrists(figure, load, key.body.world);
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

Unmeasured find_far_contact(const Key& key) {
    const Near near(key.ground);
    for (int i = 0; i < key.stance.contact_count; ++i) {
        const Contact& c = key.stance.contact[i];
        bool all_near = near(c.back) && near(c.tip);
        for (int k = 0; k < c.point_count; ++k)
            all_near = all_near && near(c.point[k]);
        if (!all_near) return {Unmeasured::contact_is_far, i, c.joint};
    }
    return {};
}

/// The plane goes through the lowest bearing point; in flight it stays where it was made.
void settle_ground(Key& key) {
    double lowest = 1e300;
    for (int i = 0; i < key.stance.contact_count; ++i) {
        const Contact& c = key.stance.contact[i];
        for (int k = 0; k < c.point_count; ++k)
            lowest = std::min(lowest, key.ground.height(c.point[k]));
    }
    if (key.stance.contact_count > 0) key.ground.origin += key.ground.normal * lowest;
}

/// Joints that the moment's contacts, loads and pulls are on.
void place_touched(const Figure& figure, const BodyPlan& plan, const Ask& ask, Key& key) {
    const auto place = [&](int joint) { place_further(figure, plan, key.pose, joint, key.body); };
    for (int i = 0; i < ask.contact_count; ++i) {
        if (ask.contact[i].limb < 0) place(ask.contact[i].joint);
    }
    for (int i = 0; i < ask.load_count; ++i) {
        for (int k = 0; k < ask.load[i].holder_count; ++k)
            place(ask.load[i].holder[k]);
    }
    for (int i = 0; i < ask.pull_count; ++i)
        place(ask.pull[i].joint);
}

/// The same of another pose; contacts stay where they are.
void place_carriers(const Figure& figure, const BodyPlan& plan, const Key& key, const PoseView& pose,
                    Body& body) {
    for (int i = 0; i < key.load_count; ++i) {
        for (int k = 0; k < key.load[i].holder_count; ++k)
            place_further(figure, plan, pose, key.load[i].holder[k], body);
    }
    for (int i = 0; i < key.pull_count; ++i)
        place_further(figure, plan, pose, key.pull[i].joint, body);
}

void take_up(const Figure& figure, const AskedLoad& asked, const Key& key, Load& load) {
    load = Load{};
    static_cast<AskedLoad&>(load) = asked;
    const Placement* world = key.body.world;
    Vec3 held = grip(figure, world, load.holder[0]);
    if (load.holder_count == 2) held = (held + grip(figure, world, load.holder[1])) * 0.5;
    held +=
        key.ground.left * load.offset.x + key.ground.normal * load.offset.y + key.ground.fore * load.offset.z;
    for (int k = 0; k < load.holder_count; ++k)
        load.local[k] = in_frame(world[load.holder[k]], held);
    if (load.hanging) load.hang = normalized(key.ground.felt) * load.cord;
    load.centre = held + load.hang;
    find_level(figure, key, load);
}

Vec3 carried_centre(const Figure& figure, const Key& key, const Load& load, const Placement* world) {
    Vec3 centre = load.hang;
    if (load.level) {
        const Vec3 turn = log_rotation(world[figure.chest].rotation * conjugate(load.chest));
        const Quat twist = exp_rotation(key.ground.normal * dot(key.ground.normal, turn));
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

void find_balance_points(Key& key) {
    const auto pull_at = [&](int k) { return key.pull[k].point; };
    Vec3 moment = key.body.first_moment;
    key.body_point = balance_point_of(key.ground, key.body_pressing, moment, pull_at);
    for (int i = 0; i < key.load_count; ++i)
        moment += key.load[i].centre * key.load[i].mass;
    key.balance_point = balance_point_of(key.ground, key.pressing, moment, pull_at);
}

Unmeasured find_far_point(const Key& key) {
    for (const Vec2& p : {key.balance_point, key.body_point}) {
        if (!Near::is_met(p))
            return {Unmeasured::point_is_far, -1, -1, norm(p), norm(key.pressing.turning) > 0};
    }
    return {};
}

void take_room(const PoseRoom& room, Key& key) {
    key.pose = {room.translations, room.rotations};
    key.body.world = room.world, key.body.centre = room.centre;
}

} // namespace

Unmeasured measure_pose(const Figure& figure, const BodyPlan& plan, const Ask& ask, const PoseRoom& room,
                        Key& key) {
    take_room(room, key);
    measure_body(figure, plan, key.pose, key.body);
    place_touched(figure, plan, ask, key);
    key.ground = make_ground(key.body.world[figure.hips].position, ask.normal, ask.gravity, ask.acceleration,
                             key.body.hips_from_neutral);
    const bool presses = -dot(key.ground.felt, ask.normal) / norm(key.ground.felt) >= least_pressing_cosine;
    return {presses ? Unmeasured::nothing : Unmeasured::falls};
}

void make_stance(const Figure& figure, const Ask& ask, Key& key) {
    const Placement* world = key.body.world;
    if (ask.gives_contacts) return make_stance(figure, world, ask.contact, ask.contact_count, key.stance);
    AskedContact shown[APLOMB_MAX_CONTACTS];
    make_stance(figure, world, shown, default_contacts(figure, world, key.ground.normal, shown), key.stance);
}

Unmeasured measure_carried(const Figure& figure, const Ask& ask, Key& key) {
    if (const Unmeasured far = find_far_contact(key)) return far;
    settle_ground(key);
    Vec3 forces[APLOMB_MAX_PULLS];
    double mass = figure.total_mass;
    key.load_count = ask.load_count;
    for (int i = 0; i < key.load_count; ++i) {
        take_up(figure, ask.load[i], key, key.load[i]);
        mass += key.load[i].mass;
    }
    key.pull_count = ask.pull_count;
    for (int i = 0; i < key.pull_count; ++i) {
        const AskedPull& pull = ask.pull[i];
        key.pull[i] = {pull, to_world(key.body.world[pull.joint], pull.local)};
        forces[i] = pull.force;
    }
    key.pressing = make_pressing(key.ground, mass, forces, key.pull_count, ask.momentum_rate);
    key.body_pressing =
        make_pressing(key.ground, figure.total_mass, forces, key.pull_count, ask.momentum_rate);
    if (!key.pressing.valid() || !key.body_pressing.valid()) return {Unmeasured::lifted_off};
    find_balance_points(key);
    return find_far_point(key);
}

Unmeasured measure(const Figure& figure, const BodyPlan& plan, const Ask& ask, const PoseRoom& room,
                   Key& key) {
    if (const Unmeasured falls = measure_pose(figure, plan, ask, room, key)) return falls;
    make_stance(figure, ask, key);
    if (key.stance.contact_count == 0) return {Unmeasured::nothing_bears};
    return measure_carried(figure, ask, key);
}

Unmeasured repose(const Figure& figure, const BodyPlan& plan, const PoseRoom& room, Key& key) {
    take_room(room, key);
    measure_body(figure, plan, key.pose, key.body);
    place_carriers(figure, plan, key, key.pose, key.body);
    for (int i = 0; i < key.load_count; ++i)
        key.load[i].centre = carried_centre(figure, key, key.load[i], key.body.world);
    for (int i = 0; i < key.pull_count; ++i)
        key.pull[i].point = to_world(key.body.world[key.pull[i].joint], key.pull[i].local);
    find_balance_points(key);
    return find_far_point(key);
}

Vec2 balance_point_of_pose(const Figure& figure, const BodyPlan& plan, const Key& key, const PoseRoom& room) {
    const PoseView pose = {room.translations, room.rotations};
    Body body;
    body.world = room.world, body.centre = room.centre;
    measure_body(figure, plan, pose, body);
    place_carriers(figure, plan, key, pose, body);
    Vec3 moment = body.first_moment;
    for (int i = 0; i < key.load_count; ++i)
        moment += carried_centre(figure, key, key.load[i], body.world) * key.load[i].mass;
    return balance_point_of(key.ground, key.pressing, moment, [&](int k) {
        return to_world(body.world[key.pull[k].joint], key.pull[k].local);
    });
}

} // namespace aplomb
