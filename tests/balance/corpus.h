// SPDX-License-Identifier: MIT
// Seeded random moments: figures, keyed poses, stances, loads and options of every kind that the solver is to
// cope with. A seed gives the same moment everywhere (SplitMix64, G. Steele et al., OOPSLA 2014).
#pragma once

#include <array>

#include "balance/moment.h"

namespace own {

class Dice {
public:
    explicit Dice(uint64_t seed) : state_(seed * 0x9e3779b97f4a7c15u + 0x1234567u) {}
    uint64_t next() {
        uint64_t z = (state_ += 0x9e3779b97f4a7c15u);
        z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
        z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
        return z ^ (z >> 31);
    }
    double unit() { return static_cast<double>(next() >> 11) / 9007199254740992.0; }
    double between(double low, double high) { return low + (high - low) * unit(); }
    double within(double most) { return between(-most, most); }
    bool chance(double part) { return unit() < part; }
    template<class T, size_t n>
    T one_of(const T (&items)[n]) {
        return items[next() % n];
    }

private:
    uint64_t state_;
};

/// What an angle in degrees is drawn from; nothing is drawn for 0.
struct Range {
    double low = 0, high = 0;
};
inline Range within(double most) {
    return {-most, most};
}
/// About x, y and z, drawn in an order of its own: that in which arguments are evaluated is the compiler's.
inline void turn_by_chance(lay::Pose& pose, const std::string& joint, Dice& dice, Range x, Range y,
                           Range z = {}) {
    const auto draw = [&](const Range& r) { return r.low < r.high ? dice.between(r.low, r.high) : 0; };
    const double about_z = draw(z), about_y = draw(y), about_x = draw(x);
    pose.turn(joint, about_x, about_y, about_z);
}

/// The figures of the corpus, built once.
class Company {
public:
    static constexpr size_t size = 4;
    const Character& operator[](size_t i) const { return *characters_[i]; }

private:
    std::array<std::unique_ptr<Character>, size> characters_ = {
        std::make_unique<Character>(lay::LayFigure::adult()),
        std::make_unique<Character>(lay::LayFigure::toddler()),
        std::make_unique<Character>(lay::LayFigure::detailed()),
        std::make_unique<Character>(lay::LayFigure::quadruped())};
};

struct Case {
    uint64_t seed = 0;
    size_t figure = 0;
    Moment moment;
};

/// Poses the two-footed figures.
class StandingPose {
public:
    StandingPose(const Character& character, Dice& dice)
        : c_(character), dice_(dice), pose_(character.rest_pose()), size_(character.bones.info.leg_length) {
        turn_by_chance(pose_, "hips", dice, within(8), within(8), within(5));
        for (const char* joint : {"spine_1", "spine_2", "spine_3"})
            turn_by_chance(pose_, joint, dice, within(7), within(5), within(5));
        turn_by_chance(pose_, "neck", dice, within(10), within(10), within(8));
        turn_by_chance(pose_, "head", dice, within(10), within(15), within(8));
        for (const char* side : {"left_", "right_"}) {
            const std::string s = side;
            turn_by_chance(pose_, s + "upper_arm", dice, {-80, 20}, within(20), within(15));
            pose_.turn(s + "lower_arm", dice.between(-90, -2));
        }
        place_feet();
    }

    Moment moment() const {
        Moment m(pose_);
        m.contacts = contacts_;
        return m;
    }

private:
    struct Foot {
        bool lifted = false, on_ball = false;
        double yaw = 0, pitch = 0;
        aplomb::Vec3 ankle{};
        std::string side{};
    };

    void place_feet() {
        const int stance =
            static_cast<int>(dice_.next() % 8); // 0..3 flat, 4, 5 one lifted, 6 on the ball, 7 mixed
        const int other = dice_.chance(0.5) ? 0 : 1;
        std::array<Foot, 2> feet;
        for (int i = 0; i < 2; ++i) {
            Foot& foot = feet[static_cast<size_t>(i)];
            foot.side = i == 0 ? "left" : "right";
            foot.lifted = (stance == 4 || stance == 5) && i == other;
            foot.on_ball = stance == 6 || (stance == 7 && i == other);
            foot.yaw = dice_.within(25);
            foot.pitch = foot.on_ball ? dice_.between(10, 35) : foot.lifted ? dice_.between(0, 40) : 0;
            place_ankle(foot, i == 0 ? 1.0 : -1.0);
        }
        lower_to(feet);
        for (const Foot& foot : feet)
            set_down(foot);
        const bool held = dice_.chance(0.8);
        for (const Foot& foot : feet)
            add_contact(foot, held);
    }

    void place_ankle(Foot& foot, double side) {
        const lay::Point a = c_.shape.position(c_.find(foot.side + "_foot"));
        const lay::Point b = c_.shape.position(c_.find(foot.side + "_toe"));
        foot.ankle = {a.x + side * dice_.between(-0.02, 0.15) * size_, a.y, a.z + dice_.within(0.15) * size_};
        const aplomb::Vec3 to_ball = {b.x - a.x, b.y - a.y, b.z - a.z};
        const aplomb::Quat yaw = aplomb::exp_rotation({0, foot.yaw * aplomb::degree, 0});
        const aplomb::Quat pitch = aplomb::exp_rotation({foot.pitch * aplomb::degree, 0, 0});
        if (foot.on_ball) foot.ankle += rotate(yaw, to_ball - rotate(pitch, to_ball));
        if (foot.lifted) foot.ankle += aplomb::Vec3{0, dice_.between(0.03, 0.45), dice_.within(0.1)} * size_;
    }

    /// Lowers the hips until both ankles are reached with about the bend asked for; often hardly any.
    void lower_to(const std::array<Foot, 2>& feet) {
        const double bend = dice_.one_of({0.0, 0.1, 0.5, 1.0, 2.0, 5.0, 8.0, 8.0, 15.0, 30.0, 60.0});
        const double ahead = dice_.within(0.06) * size_, aside = dice_.within(0.06) * size_;
        pose_.move(aside, 0, ahead);
        double drop = -1;
        for (const Foot& foot : feet) {
            const aplomb_limb_info& limb = c_.bones.limbs[static_cast<size_t>(c_.limb(foot.side + "_foot"))];
            const double reach = limb.length * std::cos(0.5 * bend * aplomb::degree);
            const aplomb::Vec3 way = pose_.place(foot.side + "_thigh") - foot.ankle;
            const double room = reach * reach - way.x * way.x - way.z * way.z;
            drop = std::max(drop, way.y - std::sqrt(std::max(0.0, room)));
        }
        pose_.move(0, -drop, 0);
    }

    void set_down(const Foot& foot) {
        pose_.stand_on(foot.side, foot.ankle);
        aplomb::Quat shank;
        pose_.place(c_.find(foot.side + "_shank"), shank);
        const aplomb::Quat yaw = aplomb::exp_rotation({0, foot.yaw * aplomb::degree, 0});
        const aplomb::Quat pitch = aplomb::exp_rotation({foot.pitch * aplomb::degree, 0, 0});
        pose_.set(foot.side + "_foot", conjugate(shank) * yaw * pitch);
        if (foot.on_ball) pose_.turn(foot.side + "_toe", -foot.pitch);
    }

    void add_contact(const Foot& foot, bool held) {
        const aplomb_hold hold = !foot.lifted ? APLOMB_BEARING : held ? APLOMB_HELD : APLOMB_FREE;
        aplomb_contact contact = aplomb_contact_make(c_.limb(foot.side + "_foot"), hold);
        if (foot.on_ball) contact.footing = APLOMB_ON_BALL;
        contacts_.push_back(contact);
    }

    const Character& c_;
    Dice& dice_;
    lay::Pose pose_;
    double size_;
    std::vector<aplomb_contact> contacts_;
};

inline Moment four_footed(const Character& c, Dice& dice) {
    lay::Pose pose = c.rest_pose();
    for (const char* joint : {"spine_1", "spine_2", "spine_3"})
        turn_by_chance(pose, joint, dice, within(3), within(4), within(3));
    turn_by_chance(pose, "neck", dice, within(15), within(15), within(8));
    pose.turn("head", dice.within(10));
    turn_by_chance(pose, "tail_1", dice, within(20), within(20));
    Moment m;
    const int lifted = dice.chance(0.4) ? static_cast<int>(dice.next() % 4) : -1;
    const char* const limbs[4][3] = {{"left_fore_", "lower_arm", "paw"},
                                     {"right_fore_", "lower_arm", "paw"},
                                     {"left_hind_", "shank", "hock"},
                                     {"right_hind_", "shank", "hock"}};
    for (int i = 0; i < 4; ++i) {
        const std::string name = limbs[i][0];
        turn_by_chance(pose, name + (i < 2 ? "upper_arm" : "thigh"), dice, within(4), {}, within(2));
        pose.turn(name + limbs[i][1], i == lifted ? (i < 2 ? -40 : 30) : dice.within(4));
        const aplomb_hold hold = i == lifted ? APLOMB_HELD : APLOMB_BEARING;
        m.contacts.push_back(aplomb_contact_make(c.limb(name + limbs[i][2]), hold));
    }
    m.translations = pose.translations, m.rotations = pose.rotations;
    return m;
}

/// 0 to 130 kg on an adult, in proportion on others.
inline double random_mass(const Character& c, Dice& dice) {
    const double heavy = dice.chance(0.5) ? 30 : 130;
    return heavy * dice.unit() * c.bones.body_mass() / 75.0;
}

inline void add_load(const Character& c, Dice& dice, Moment& m, bool four) {
    const double size = c.bones.info.leg_length;
    const int kind = static_cast<int>(dice.next() % 4);
    aplomb_load load = aplomb_load_make(random_mass(c, dice), 0);
    if (four || kind == 3) { // on the back, or in the mouth
        load.holder[0] = c.find(four && kind == 0 ? "head" : "spine_3");
        load.offset[1] = dice.between(0, 0.2) * size;
        load.offset[2] = four ? dice.within(0.2) * size : dice.between(-0.4, -0.1) * size;
    } else if (kind == 2) { // in both hands
        load.holder[0] = c.find("left_hand"), load.holder[1] = c.find("right_hand");
        load.offset[2] = dice.between(0, 0.3) * size, load.offset[1] = dice.within(0.2) * size;
        load.level = dice.one_of({0.0, 0.0, 0.5, 1.0});
    } else {
        load.holder[0] = c.find(dice.chance(0.5) ? "left_hand" : "right_hand");
        load.hanging = kind == 0;
        load.hang = load.hanging ? dice.between(0, 0.4) * size : 0;
    }
    m.loads.push_back(load);
}

inline void add_hand(const Character& c, Dice& dice, Moment& m) {
    const aplomb_hold hold = dice.chance(0.3) ? APLOMB_BEARING : APLOMB_HELD;
    m.contacts.push_back(aplomb_contact_make(c.limb(dice.chance(0.5) ? "left_hand" : "right_hand"), hold));
}

inline void choose_options(Dice& dice, Moment& m) {
    aplomb_options& o = m.options;
    if (dice.chance(0.5)) return;
    if (dice.chance(0.4)) {
        o.free = dice.one_of<uint32_t>({31u, 63u, 31u, 23u, 15u, 23u, 7u, 16u, 16u, 25u, 29u, 63u});
        o.neck = dice.one_of({1.0, 1.0, 0.0, 1.3});
    }
    if (dice.chance(0.2)) o.rest = dice.one_of({0.0, 0.0, 0.1, 10.0});
    if (dice.chance(0.3)) o.margin = dice.between(0, 0.2);
    if (dice.chance(0.2)) o.max_trunk = dice.between(5, 40) * aplomb::degree;
    if (dice.chance(0.2)) o.max_hips = dice.between(0.05, 0.4);
    if (dice.chance(0.1)) o.thorough = 1;
}

/// Rarer things that a moment may have: wishes, half-set feet, pulls, a slope.
inline void add_rarities(const Character& c, Dice& dice, Moment& m) {
    if (dice.chance(0.1)) m.contacts[0].share = dice.between(0.2, 0.8);
    if (dice.chance(0.05)) m.contacts[1].bearing = dice.between(0.1, 1);
    if (dice.chance(0.1)) {
        aplomb_pull pull{};
        pull.joint = c.find(dice.chance(0.5) ? "spine_3" : "head");
        const double weight = 9.8 * c.bones.body_mass();
        pull.force[0] = dice.within(0.06) * weight, pull.force[2] = dice.within(0.06) * weight;
        m.pulls.push_back(pull);
    }
    if (dice.chance(0.05))
        m.gravity[0] = dice.within(0.6), m.gravity[1] = -9.8, m.gravity[2] = dice.within(0.6);
}

/// Accelerations of a run, and an angular momentum that a force of 3 % of the weight at the length of a leg would change.
inline void set_in_motion(const Character& c, Dice& dice, Moment& m) {
    const double most = 0.03 * 9.8 * c.bones.body_mass() * c.bones.info.leg_length;
    for (int k = 0; k < 3; ++k)
        m.acceleration[k] = dice.within(k == 1 ? 4 : 1), m.momentum_rate[k] = dice.within(most);
}

inline Case make_case(const Company& company, uint64_t seed) {
    Dice dice(seed);
    Case made;
    made.seed = seed;
    made.figure = static_cast<size_t>(dice.next() % Company::size);
    const Character& c = company[made.figure];
    const bool four = made.figure == 3;
    made.moment = four ? four_footed(c, dice) : StandingPose(c, dice).moment();
    const int loads = dice.one_of({0, 1, 1, 1, 1, 2});
    for (int i = 0; i < loads; ++i)
        add_load(c, dice, made.moment, four);
    if (!four && dice.chance(0.12)) add_hand(c, dice, made.moment);
    add_rarities(c, dice, made.moment);
    choose_options(dice, made.moment);
    return made;
}

} // namespace own
