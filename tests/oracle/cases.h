// SPDX-License-Identifier: MIT
// Seeded random moments that the oracle can do. Lay figures take the corpus' own; all others are posed here
// by the oracle's own closed form, from their neutral, from how they rest or from poses in a file.
#pragma once

#include "oracle/cast.h"

namespace full_space {

/// A pose in the making, as turns in the world since a base pose.
class Reposer {
public:
    Reposer(const Subject& subject, const BasePose& base)
        : bones_(subject.bones), unit_(subject.unit), base_(base),
          world_(bones_.world(base.translations.data(), base.rotations.data())), own_(bones_.joints.size()),
          set_(bones_.joints.size(), 0) {}

    void turn(int joint, const Point& rotation) {
        own_[index(joint)] = exp_turn(rotation), set_[index(joint)] = 1;
    }
    void fix(int joint, const Turn& since_base) { own_[index(joint)] = since_base, set_[index(joint)] = 2; }
    void move(const Point& by) { shift_ = shift_ + by; }
    Point base_place(int joint) const { return point_of(world_.place[index(joint)] * unit_); }
    Turn base_turn(int joint) const { return turn_of(world_.turn[index(joint)].toRotationMatrix()); }
    Turn from_neutral(int joint) const {
        return turn_of(bones_.from_neutral(world_, joint).toRotationMatrix());
    }

    /// Where all joints are, metres, and their turns since the base.
    void place() {
        since_.assign(bones_.joints.size(), identity()), place_.assign(bones_.joints.size(), Point{0, 0, 0});
        for (int j = 0; j < bones_.info.joint_count; ++j) {
            const int parent = bones_.joints[index(j)].parent;
            const Turn above = parent < 0 ? identity() : since_[index(parent)];
            place_[index(j)] = base_place(j);
            if (parent >= 0)
                place_[index(j)] = place_[index(parent)] + above * (base_place(j) - base_place(parent));
            if (j == bones_.info.hips) place_[index(j)] = place_[index(j)] + shift_;
            since_[index(j)] = set_[index(j)] == 0   ? above
                               : set_[index(j)] == 1 ? own_[index(j)] * above
                                                     : own_[index(j)];
        }
    }
    const Point& placed(int joint) const { return place_[index(joint)]; }

    void write(own::Moment& m) const {
        m.translations = base_.translations, m.rotations = base_.rotations;
        for (int j = 0; j < bones_.info.joint_count; ++j) {
            const int parent = bones_.joints[index(j)].parent;
            const Turn above = parent < 0 ? identity() : since_[index(parent)] * base_turn(parent);
            const Turn local = transpose(above) * (since_[index(j)] * base_turn(j));
            Eigen::Matrix3d matrix;
            for (int r = 0; r < 3; ++r)
                matrix.row(r) << local.row[r].x, local.row[r].y, local.row[r].z;
            const own::Turn q = own::Turn(matrix).normalized();
            double* out = &m.rotations[4 * index(j)];
            out[0] = q.x(), out[1] = q.y(), out[2] = q.z(), out[3] = q.w();
            if (j != bones_.info.hips) continue;
            const Point from = parent < 0 ? Point{0, 0, 0} : place_[index(parent)];
            const Point t = transpose(above) * (place_[index(j)] - from) * (1 / unit_);
            m.translations[3 * index(j)] = t.x, m.translations[3 * index(j) + 1] = t.y,
                               m.translations[3 * index(j) + 2] = t.z;
        }
    }

private:
    static size_t index(int i) { return static_cast<size_t>(i); }
    const own::Bones& bones_;
    double unit_;
    const BasePose& base_;
    own::World world_;
    std::vector<Turn> own_;
    std::vector<char> set_;
    Point shift_{0, 0, 0};
    std::vector<Turn> since_;
    std::vector<Point> place_;
};

class PosedMoment {
public:
    PosedMoment(const Actor& actor, own::Dice& dice)
        : actor_(actor), bones_(actor.subject->bones), dice_(dice),
          leg_(bones_.info.leg_length * actor.subject->unit),
          base_(actor.bases[dice.next() % actor.bases.size()]), pose_(*actor.subject, base_) {
        lean();
        stand();
        pose_.write(moment_);
        if (dice_.chance(0.85)) add_load();
        own::choose_options(dice_, moment_);
    }
    own::Moment moment() const { return moment_; }

private:
    Point within(double bend, double twist, double side) {
        return Point{dice_.within(bend), dice_.within(twist), dice_.within(side)} * degree;
    }

    void lean() {
        const double much = actor_.four_footed ? 0.4 : 1;
        pose_.turn(bones_.info.hips, within(6, 8, 4) * much);
        for (int j = 0; j < bones_.info.joint_count; ++j) {
            const int role = bones_.joints[static_cast<size_t>(j)].role;
            if (role == APLOMB_ROLE_SPINE) pose_.turn(j, within(6, 4, 4) * much);
            if (role == APLOMB_ROLE_NECK || role == APLOMB_ROLE_HEAD) pose_.turn(j, within(10, 15, 8));
        }
        for (const aplomb_limb_info& limb : bones_.limbs) {
            if (limb.kind != APLOMB_ARM || actor_.bases.size() > 1)
                continue; // poses in a file have their own
            pose_.turn(limb.upper,
                       Point{dice_.between(-80, 20), dice_.within(15), dice_.within(15)} * degree);
            pose_.turn(limb.lower, Point{dice_.between(-90, -2), 0, 0} * degree);
        }
    }

    struct Foot {
        int limb = 0;
        LimbShape shape{};
        Point end{};
        Turn turn = identity();
        double bend = 0;
        bool lifted = false;
    };

    void stand() {
        std::vector<Foot> feet;
        const bool lift = dice_.chance(0.3), as_found = actor_.bases.size() > 1 && dice_.chance(0.5);
        const double bend = dice_.one_of({0.0, 0.1, 0.5, 1.0, 2.0, 5.0, 8.0, 8.0, 15.0, 30.0, 60.0}) * degree;
        for (size_t i = 0; i < bones_.limbs.size(); ++i) {
            const aplomb_limb_info& limb = bones_.limbs[i];
            if (limb.kind == APLOMB_ARM) continue;
            Foot foot;
            foot.limb = static_cast<int>(i);
            foot.shape =
                make_limb_shape(pose_.base_place(limb.upper), pose_.base_place(limb.lower),
                                pose_.base_place(limb.end), pose_.from_neutral(limb.upper) * Point{1, 0, 0});
            foot.end = foot.shape.end;
            foot.bend = actor_.four_footed ? std::min(foot.shape.bend, 8 * degree) : bend;
            if (!as_found) {
                const double side = limb.side == APLOMB_SIDE_LEFT ? 1 : -1,
                             reach = actor_.four_footed ? 0.3 : 1;
                foot.end = foot.end +
                           Point{side * dice_.between(-0.02, 0.12), 0, dice_.within(0.12)} * (leg_ * reach);
                foot.turn = exp_turn<double>({0, dice_.within(20 * reach) * degree, 0});
            }
            feet.push_back(foot);
        }
        if (lift) {
            Foot& foot = feet[dice_.next() % feet.size()];
            foot.lifted = true;
            foot.end.y += dice_.between(0.04, actor_.four_footed ? 0.12 : 0.4) * leg_;
        }
        lower_to(feet);
        const bool held = dice_.chance(0.8);
        for (const Foot& foot : feet)
            set_down(foot, held);
        pose_.place();
    }

    void lower_to(const std::vector<Foot>& feet) {
        pose_.move(Point{dice_.within(0.05), 0, dice_.within(0.05)} * leg_);
        pose_.place();
        double drop = actor_.bases.size() > 1 ? 0 : -leg_;
        for (const Foot& foot : feet) {
            const Point way = pose_.placed(bones_.limbs[static_cast<size_t>(foot.limb)].upper) - foot.end;
            const double reach = foot.shape.distance(foot.bend);
            drop = std::max(drop,
                            way.y - std::sqrt(std::max(0.0, reach * reach - way.x * way.x - way.z * way.z)));
        }
        pose_.move({0, -drop, 0});
        pose_.place();
    }

    void set_down(const Foot& foot, bool held) {
        const aplomb_limb_info& limb = bones_.limbs[static_cast<size_t>(foot.limb)];
        const SolvedLimb solved = solve_limb(foot.shape, pose_.placed(limb.upper), foot.end, 1e-6);
        pose_.fix(limb.upper, solved.upper), pose_.fix(limb.lower, solved.lower),
            pose_.fix(limb.end, foot.turn);
        const aplomb_hold hold = !foot.lifted ? APLOMB_BEARING : held ? APLOMB_HELD : APLOMB_FREE;
        moment_.contacts.push_back(aplomb_contact_make(foot.limb, hold));
    }

    /// 0 to 130 kg on an adult, in proportion on others.
    void add_load() {
        const double unit = actor_.subject->unit, size = leg_ / unit;
        const double mass = (dice_.chance(0.5) ? 30 : 130) * dice_.unit() * bones_.body_mass() / 75;
        std::vector<int> hands;
        for (const aplomb_limb_info& limb : bones_.limbs)
            if (limb.kind == APLOMB_ARM) hands.push_back(limb.end);
        std::vector<int> shoulders;
        for (int j = 0; j < bones_.info.joint_count; ++j)
            if (bones_.joints[static_cast<size_t>(j)].role == APLOMB_ROLE_GIRDLE) shoulders.push_back(j);
        const int kind = static_cast<int>(dice_.next() % 5);
        aplomb_load load = aplomb_load_make(mass, bones_.info.chest);
        if (kind == 4 && !shoulders.empty() && !actor_.four_footed) {
            load.holder[0] = shoulders[dice_.next() % shoulders.size()];
            load.offset[1] = dice_.between(0, 0.2) * size;
        } else if (hands.size() < 2 || kind >= 3) {
            if (kind == 0 && bones_.info.head >= 0) load.holder[0] = bones_.info.head;
            load.offset[1] = dice_.between(0, 0.2) * size;
            load.offset[2] =
                dice_.between(actor_.four_footed ? -0.2 : -0.4, actor_.four_footed ? 0.2 : -0.1) * size;
        } else if (kind == 2) {
            load.holder[0] = hands[0], load.holder[1] = hands[1];
            load.offset[2] = dice_.between(0, 0.3) * size;
            load.level = dice_.one_of({0.0, 0.0, 0.5, 1.0});
        } else {
            load.holder[0] = hands[dice_.next() % 2];
            load.hanging = kind == 0, load.hang = load.hanging ? dice_.between(0, 0.4) * size : 0;
        }
        moment_.loads.push_back(load);
    }

    const Actor& actor_;
    const own::Bones& bones_;
    own::Dice& dice_;
    double leg_;
    const BasePose& base_;
    Reposer pose_;
    own::Moment moment_;
};

/// The corpus' figures come in turn: the first of its seeds from 4096 `seed` on that is of this figure.
inline uint64_t corpus_seed(size_t figure, uint64_t seed) {
    for (uint64_t k = 4096 * seed;; ++k) {
        if (own::Dice(k).next() % own::Company::size == figure) return k;
    }
}

/// What both spaces can do: knees of fixed legs are free to turn, every second held foot rides with its hip. `heft`
/// below 0: none of it in every third case, else all.
inline void suit_oracle(own::Moment& m, uint64_t seed, double heft) {
    for (aplomb_contact& c : m.contacts) {
        c.share = std::numeric_limits<double>::quiet_NaN();
        if (c.hold == APLOMB_HELD && seed % 2 == 0) c.ride = APLOMB_RIDE_HIP;
    }
    m.options.free |= APLOMB_FREE_SWIVEL;
    m.options.thorough = 0;
    m.options.heft = heft >= 0 ? heft : seed % 3 == 0 ? 0 : 1;
}

inline own::Moment corpus_moment(const own::Company& company, size_t figure, uint64_t seed) {
    own::Moment m = own::make_case(company, corpus_seed(figure, seed)).moment;
    const auto& limbs = company[figure].bones.limbs;
    std::erase_if(m.contacts, [&](const aplomb_contact& c) {
        return limbs[static_cast<size_t>(c.limb)].kind == APLOMB_ARM;
    });
    return m;
}

inline own::Moment oracle_moment(const Cast& cast, size_t actor, uint64_t seed, double heft) {
    own::Moment m;
    if (cast[actor].lay >= 0) {
        m = corpus_moment(cast.company(), static_cast<size_t>(cast[actor].lay), seed);
    } else {
        own::Dice dice(1000003 * seed + actor);
        m = PosedMoment(cast[actor], dice).moment();
    }
    suit_oracle(m, seed, heft);
    return m;
}

} // namespace full_space
