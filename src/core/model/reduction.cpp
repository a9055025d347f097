// SPDX-License-Identifier: MIT
#include "model/reduction.h"

#include <algorithm>

#include "model/swing_twist.h"

namespace aplomb {
namespace {

// A joint's group: a link, a follower, one of a limb's three parts, or nothing that moves.
constexpr int32_t unset = -1, still = -2;
constexpr int32_t follower_base = 1000, limb_base = 2000;

int32_t limb_group(int limb, int part) {
    return limb_base + 4 * limb + part;
}

constexpr double same_place = 1e-6; // of the leg's length

/// Standard deviations of one lean joint, from its share of the whole.
Vec3 joint_sigma(const LeanJoint& lean, const Vec3& whole) {
    return {std::sqrt(lean.share.x) * whole.x, std::sqrt(lean.share.y) * whole.y,
            std::sqrt(lean.share.z) * whole.z};
}

struct Builder {
    const Figure& figure;
    const Key& s;
    const Stiffness& stiffness;
    const Carriage& carriage;
    int32_t* group;
    Reduction& r;

    bool is_locked(int joint) const { return stiffness.locked && stiffness.locked[joint]; }
    /// From the ground's origin, which is near: far from the world's, sums of places would be rounded coarsely.
    Vec3 place(int joint) const { return s.body.world[joint].position - s.ground.origin; }

    void add_hips() {
        Link& hips = r.link[0];
        hips = Link{};
        hips.joint = figure.hips;
        hips.pivot = place(figure.hips);
        hips.before = s.body.hips_from_neutral;
        hips.after = conjugate(hips.before);
        r.link_count = 1;
        group[figure.hips] = 0;
        if (s.stance.hips_still) return; // sigma 0: a seat or a knee that bears does not move
        const double shift[3] = {stiffness.hips.x, stiffness.hips.y, stiffness.hips.z};
        for (int i = 0; i < 3; ++i)
            r.sigma[i] = shift[i], r.sigma[3 + i] = stiffness.hips_turn[i];
    }

    /// Joints at one place are one joint cut in two: they turn together, so that the cut changes nothing.
    bool at_one_place(int joint, int other) const {
        return norm(figure.joints[joint].neutral_position - figure.joints[other].neutral_position) <=
               same_place * figure.leg_length;
    }

    /// Adds the lean joints of the spine, at most max_blocks of them with a variable of their own.
    void add_spine() {
        const LeanJoint* lean = figure.spine;
        const int count = figure.spine_count;
        int place[max_lean_joints]; // the index of each joint's place, from below
        int places = 0;
        for (int i = 0, last = -1; i < count; ++i) {
            if (is_locked(lean[i].joint)) continue;
            if (last < 0 || !at_one_place(lean[last].joint, lean[i].joint)) ++places;
            place[i] = places - 1, last = i;
        }
        const int blocks = std::min(max_blocks, places);
        for (int i = 0; i < count; ++i) {
            if (is_locked(lean[i].joint)) continue;
            add_link(lean[i].joint, place[i] * blocks / places, joint_sigma(lean[i], stiffness.trunk));
        }
        r.block_count = blocks;
    }

    /// While links are added, sigma holds the blocks' summed variances and weight each joint's own variance.
    void add_link(int joint, int block, const Vec3& sigma) {
        Link& link = r.link[r.link_count];
        link = Link{};
        link.joint = joint, link.block = block;
        link.pivot = place(joint);
        const int above = figure.joints[joint].carrier;
        link.before = above >= 0 ? from_neutral(figure, s, above) : Quat{};
        const Quat now = from_neutral(figure, s, joint);
        link.after = conjugate(now);
        link.keyed = log_rotation(conjugate(link.before) * now);
        link.weight = {sigma.x * sigma.x, sigma.y * sigma.y, sigma.z * sigma.z};
        double* sum = r.sigma + r.block_variable(block);
        for (int a = 0; a < 3; ++a)
            sum[a] += link.weight[a];
        group[joint] = r.link_count++;
    }

    /// From variances to standard deviations and weights; then the bounds that the joints' limits put on
    /// them.
    void finish_blocks() {
        for (int b = 0; b < r.block_count; ++b)
            r.lowest[b] = {-1e9, -1e9, -1e9}, r.highest[b] = {1e9, 1e9, 1e9};
        for (int i = 1; i < r.link_count; ++i) {
            Link& link = r.link[i];
            const Limits& limits = figure.joints[link.joint].limits;
            for (int a = 0; a < 3; ++a) {
                const double variance = r.sigma[r.block_variable(link.block) + a];
                link.weight[a] = variance > 0 ? link.weight[a] / variance : 0.0;
                if (link.weight[a] <= 0) continue;
                // A joint that is keyed outside its limit may stay there, and go no further.
                const double low = std::min(0.0, limits.lowest[a] - link.keyed[a]) / link.weight[a];
                const double high = std::max(0.0, limits.highest[a] - link.keyed[a]) / link.weight[a];
                r.lowest[link.block][a] = std::max(r.lowest[link.block][a], low);
                r.highest[link.block][a] = std::min(r.highest[link.block][a], high);
            }
        }
        for (int i = 0; i < 3 * r.block_count; ++i) {
            double& sigma = r.sigma[Reduction::first_block + i];
            sigma = std::sqrt(sigma);
        }
    }

    /// False for a limb that starts at hips which may not move, or with nothing free at all.
    bool start_moves(const Limb& limb) const {
        int base = figure.joints[limb.upper].carrier;
        while (base >= 0 && group[base] == unset)
            base = figure.joints[base].carrier;
        const bool on_hips = base < 0 || group[base] == 0;
        const int end = on_hips ? Reduction::first_block : r.block_variable(r.block_count);
        return std::any_of(r.sigma, r.sigma + end, [](double sigma) { return sigma > 0; });
    }

    void add_limbs() {
        for (int i = 0; i < figure.limb_count; ++i) {
            const Limb& limb = figure.limbs[i];
            const bool holds_load =
                r.has_level && (i == carriage.level.limb[0] || i == carriage.level.limb[1]);
            if ((s.stance.hold[i] == APLOMB_FREE && !holds_load) || !start_moves(limb))
                continue; // it stays as it is with the rest
            group[limb.upper] = limb_group(r.limb_count, 0);
            group[limb.lower] = limb_group(r.limb_count, 1);
            group[limb.end] = limb_group(r.limb_count, 2);
            FixedLimb& fixed = r.limb[r.limb_count++];
            fixed = FixedLimb{};
            fixed.limb = i;
            fixed.bearing = s.stance.hold[i] == APLOMB_BEARING;
            fixed.holds_load = holds_load;
            if (!fixed.bearing && !holds_load) fixed.with_chest = carriage.with_chest[i];
            if (fixed.with_chest == 0) fixed.ride = carriage.ride[i];
            // A bone hangs along -y in the neutral; the hinge is carried by the keyed first span.
            const Vec3 hinge = rotate(from_neutral(figure, s, limb.upper), limb.hinge);
            fixed.span = make_two_span(place(limb.upper), place(limb.lower), place(limb.end), hinge,
                                       limb.least_bend, limb.most_bend);
            fixed.span.gives_way = !fixed.bearing && !holds_load;
            // Hips that may not be lowered leave a limb that is keyed straighter than the bound as it is.
            const double keyed = norm(fixed.span.end - fixed.span.start);
            if (r.sigma[2] <= 0 && fixed.bearing) {
                fixed.span.most = std::clamp(keyed, fixed.span.most, fixed.span.length * (1.0 - 1e-9));
                fixed.span.bend = smooth_bend(std::min(keyed, fixed.span.most), fixed.span.length);
            }
        }
    }

    // ---- Followers ----

    int add_follower(int joint, double keep, const Quat& offer) {
        group[joint] = follower_base + r.follower_count;
        Follower& follower = r.follower[r.follower_count];
        follower = Follower{};
        follower.joint = joint, follower.keep = keep, follower.offer = offer;
        return r.follower_count++;
    }

    /// How much of a turn of the chest a neck joint may take in without leaving its range, whichever way: 0 to 1.
    double room_of(int joint, double turn) const {
        const Limits& limits = figure.joints[joint].limits;
        const Vec3 keyed = log_rotation(conjugate(from_neutral(figure, s, figure.joints[joint].carrier)) *
                                        from_neutral(figure, s, joint));
        double room = turn;
        for (int a = 0; a < 3; ++a)
            room = std::min(
                room, std::max(0.0, std::min(limits.highest[a] - keyed[a], keyed[a] - limits.lowest[a])));
        return room / turn;
    }

    /// Neck and head give back part of the chest's turn, half of it each, the neck's joints by their shares.
    void add_neck() {
        if (carriage.neck <= 0 && carriage.neck_lean == 0) return;
        const bool has_head = figure.head >= 0 && figure.neck[0].joint != figure.head;
        double keep = 1, lean = 0;
        const auto add = [&](int joint, double share) {
            if (joint < 0 || is_locked(joint) || figure.joints[joint].carrier < 0) return;
            // What a joint's rotation numbers change by is at most a little more than the turn.
            const double most =
                1.2 * share * (carriage.neck * stiffness.max_trunk + std::fabs(carriage.neck_lean));
            if (!(most > 0)) return;
            const double part = share * room_of(joint, most);
            keep -= part * carriage.neck, lean += part * carriage.neck_lean;
            add_follower(joint, keep, exp_rotation(chest_ahead() * lean));
        };
        for (int i = 0; i < figure.neck_count; ++i) {
            const Vec3& share = figure.neck[i].share;
            add(figure.neck[i].joint, (has_head ? 0.5 : 1.0) * (share.x + share.y + share.z) / 3.0);
        }
        if (has_head) add(figure.head, 0.5);
    }

    Vec3 chest_ahead() const { return rotate(from_neutral(figure, s, figure.chest), Vec3{0, 0, 1}); }

    /// Girdles, and free arms that do something on their own or give back part of the chest's turn.
    void add_arms() {
        for (int i = 0; i < figure.limb_count; ++i) {
            const Limb& limb = figure.limbs[i];
            if (limb.kind != APLOMB_ARM) continue;
            const ArmOffer& offer = carriage.arm[i];
            const Quat girdle = add_girdle(limb, offer);
            const bool is_free = group[limb.upper] == unset && s.stance.hold[i] == APLOMB_FREE;
            const bool is_idle =
                offer.give_back == 0 && offer.elbow == 0 && is_none(offer.upper) && is_none(offer.lower);
            if (!is_free || is_idle) continue;
            const Quat upper = within_limits(limb.upper, girdle, girdle * offer.upper);
            const int follower = add_follower(limb.upper, 1.0 - offer.give_back, upper);
            if (offer.load >= 0) r.follower[follower].clear = clearance(limb, offer);
            if (offer.elbow == 0 && is_none(offer.lower)) continue;
            const Vec3 hinge = rotate(from_neutral(figure, s, limb.upper), limb.hinge);
            const Vec3 first = place(limb.lower) - place(limb.upper),
                       second = place(limb.end) - place(limb.lower);
            const double keyed =
                arccos(std::clamp(dot(first, second) / (norm(first) * norm(second)), -1.0, 1.0));
            const double bend = std::min(offer.elbow, std::max(0.0, limb.most_bend - keyed));
            Quat lower = upper * exp_rotation(hinge * bend);
            if (!is_none(offer.lower)) lower = lower * offer.lower;
            add_follower(limb.lower, 1.0 - offer.give_back, lower);
        }
    }

    Clearance clearance(const Limb& limb, const ArmOffer& offer) const {
        const Load& load = s.load[offer.load];
        const Ground& g = s.ground;
        Clearance c;
        c.side = limb.side == APLOMB_SIDE_LEFT ? 1 : -1;
        c.ahead = chest_ahead();
        c.line = to_world(s.body.world[load.holder[0]], load.local[0]) - s.body.world[limb.upper].position;
        c.length = norm(c.line);
        c.hang = dot(load.hang, g.left);
        c.leg = leg_at(offer.leg, dot(load.centre - g.origin, g.normal));
        const double keyed = c.side * dot(g.left, place(limb.upper) + c.line + load.hang - c.leg.keyed);
        c.wanted = std::min(keyed, offer.clear);
        c.at_key = smooth_max((c.wanted - keyed) / c.length, 0, clearance_width);
        return c;
    }

    /// The point of a leg's span.
    BodyPoint leg_point(int leg, int span, double part) const {
        const Limb& limb = figure.limbs[leg];
        const Vec3 high = place(span == 0 ? limb.upper : limb.lower),
                   low = place(span == 0 ? limb.lower : limb.end);
        BodyPoint point;
        point.span = span, point.part = part;
        point.keyed = high + (low - high) * part;
        for (int i = 0; i < r.limb_count; ++i)
            if (r.limb[i].limb == leg) point.limb = i;
        if (point.limb < 0) // it goes with the hips
            point.lever[0] = high - r.link[0].pivot, point.lever[1] = low - r.link[0].pivot;
        return point;
    }

    BodyPoint leg_at(int leg, double height) const {
        const Limb& limb = figure.limbs[leg];
        const Vec3& up = s.ground.normal;
        const double hip = dot(up, place(limb.upper)), knee = dot(up, place(limb.lower)),
                     end = dot(up, place(limb.end));
        const int span = height < knee ? 1 : 0;
        const double top = span == 0 ? hip : knee, fall = top - (span == 0 ? knee : end);
        return leg_point(leg, span, fall > 0 ? std::clamp((top - height) / fall, 0.0, 1.0) : 0.0);
    }

    static bool is_none(const Quat& turn) { return turn.x == 0 && turn.y == 0 && turn.z == 0; }

    /// What the girdle does on its own.
    Quat add_girdle(const Limb& limb, const ArmOffer& offer) {
        const int joint = figure.joints[limb.upper].carrier;
        if (offer.girdle == 0 || joint < 0 || figure.joints[joint].role != APLOMB_ROLE_GIRDLE ||
            group[joint] != unset || is_locked(joint))
            return {};
        const Quat above = from_neutral(figure, s, figure.joints[joint].carrier),
                   now = from_neutral(figure, s, joint);
        const Vec3 keyed = log_rotation(conjugate(above) * now);
        const Limits& limits = figure.joints[joint].limits;
        Vec3 wished = keyed;
        wished.z += offer.girdle;
        wished.z =
            std::clamp(wished.z, std::min(keyed.z, limits.lowest.z), std::max(keyed.z, limits.highest.z));
        const Quat turn = above * exp_rotation(wished) * conjugate(now);
        add_follower(joint, 1, turn);
        return turn;
    }

    /// The nearest turn of a joint's segment since the key, its parent's given, that keeps to its limits.
    Quat within_limits(int joint, const Quat& parent_turn, const Quat& turn) const {
        const Quat above = from_neutral(figure, s, figure.joints[joint].carrier),
                   keyed = from_neutral(figure, s, joint);
        const Quat now = conjugate(parent_turn * above) * turn * keyed;
        const Quat allowed = within(now, conjugate(above) * keyed, figure.joints[joint].limits);
        return parent_turn * above * allowed * conjugate(keyed);
    }

    /// The lump of a group and the point that its moment is about.
    Lump& lump_of(int32_t g, Vec3& reference) {
        if (g >= limb_base) {
            FixedLimb& limb = r.limb[(g - limb_base) / 4];
            const Limb& shape = figure.limbs[limb.limb];
            const int part = (g - limb_base) % 4;
            reference = place(part == 0 ? shape.upper : part == 1 ? shape.lower : shape.end);
            return part == 0 ? limb.upper : part == 1 ? limb.lower : limb.end;
        }
        if (g >= follower_base) {
            Follower& follower = r.follower[g - follower_base];
            reference = place(follower.joint);
            return follower.lump;
        }
        if (g >= 0) {
            reference = r.link[g].pivot;
            return r.link[g].lump;
        }
        reference = Vec3{};
        return r.fixed;
    }

    void add_mass(int32_t g, double mass, const Vec3& centre) {
        Vec3 reference;
        Lump& lump = lump_of(g, reference);
        lump.mass += mass;
        lump.moment += (centre - s.ground.origin - reference) * mass;
    }

    void lump_all() {
        for (int i = 0; i < figure.joint_count; ++i) {
            const int j = figure.order[i];
            if (group[j] == unset)
                group[j] = figure.joints[j].carrier >= 0 ? group[figure.joints[j].carrier] : still;
            if (figure.joints[j].mass > 0) add_mass(group[j], figure.joints[j].mass, s.body.centre[j]);
        }
        for (int k = 0; k < s.load_count; ++k) {
            const Load& load = s.load[k];
            if (r.has_level && (carriage.level.loads >> k & 1u) != 0) {
                r.level.lump.mass += load.mass;
                r.level.lump.moment +=
                    (load.centre - load.hang - s.ground.origin - r.level.place) * load.mass;
                r.fixed.moment += load.hang * load.mass;
                continue;
            }
            for (int h = 0; h < load.holder_count; ++h) {
                const Vec3 held = to_world(s.body.world[load.holder[h]], load.local[h]);
                add_mass(group[load.holder[h]], load.mass / load.holder_count, held);
                r.fixed.moment +=
                    load.hang * (load.mass / load.holder_count); // hangs straight down whatever turns
            }
        }
    }

    int link_above(int joint) const {
        for (int j = figure.joints[joint].carrier; j >= 0; j = figure.joints[j].carrier)
            if (group[j] >= 0 && group[j] < follower_base) return group[j];
        return 0;
    }
    /// The follower that a joint starts from; -1: a link.
    int follower_above(int joint) const {
        const int above = figure.joints[joint].carrier;
        return above >= 0 && group[above] >= follower_base && group[above] < limb_base
                   ? group[above] - follower_base
                   : -1;
    }

    void join() {
        for (int i = 1; i < r.link_count; ++i) {
            r.link[i].parent = link_above(r.link[i].joint);
            r.link[i].lever = r.link[i].pivot - r.link[r.link[i].parent].pivot;
        }
        for (int i = 0; i < r.follower_count; ++i) {
            Follower& f = r.follower[i];
            f.link = link_above(f.joint), f.parent = follower_above(f.joint);
            f.lever =
                place(f.joint) - (f.parent < 0 ? r.link[f.link].pivot : place(r.follower[f.parent].joint));
        }
        for (int i = 0; i < r.limb_count; ++i) {
            FixedLimb& limb = r.limb[i];
            const int upper = figure.limbs[limb.limb].upper;
            limb.link = link_above(upper), limb.follower = follower_above(upper);
            limb.lever = limb.span.start - (limb.follower < 0 ? r.link[limb.link].pivot
                                                              : place(r.follower[limb.follower].joint));
            limb.upper_moment = transposed_times(limb.span.upper_frame, limb.upper.moment);
            limb.lower_moment = transposed_times(limb.span.lower_frame, limb.lower.moment);
        }
        const int32_t chest = group[figure.chest], head = figure.head >= 0 ? group[figure.head] : still;
        r.chest_link = chest >= 0 && chest < follower_base ? chest : 0;
        for (int i = 0; i < r.limb_count; ++i)
            r.limb[i].chest_lever = r.limb[i].span.end - r.link[r.chest_link].pivot;
        r.head_follower = head >= follower_base && head < limb_base ? head - follower_base : -1;
    }

    void add_pulls() {
        for (int k = 0; k < s.pull_count; ++k) {
            PulledPoint& p = r.pulled[k];
            p = PulledPoint{};
            const int32_t g = group[s.pull[k].joint];
            if (g >= limb_base)
                p.limb = (g - limb_base) / 4, p.span = (g - limb_base) % 4;
            else if (g >= follower_base)
                p.follower = g - follower_base;
            else if (g >= 0)
                p.link = g;
            Vec3 reference;
            lump_of(g, reference);
            p.lever = s.pull[k].point - s.ground.origin - reference;
        }
    }

    void add_further_variables() {
        r.variable_count = r.block_variable(r.block_count);
        if (r.has_level && carriage.level.pull > 0) {
            r.level.pull = r.variable_count;
            r.sigma[r.variable_count++] = carriage.level.pull;
        }
        if (!stiffness.swivel_free) return;
        for (int i = 0; i < r.limb_count; ++i) {
            if (r.limb[i].holds_load) continue;
            r.limb[i].swivel = r.variable_count;
            r.sigma[r.variable_count++] = stiffness.swivel;
        }
    }

    // ---- A load in both hands ----

    void begin_level() {
        const LevelOffer& offer = carriage.level;
        r.has_level = offer.limb[0] >= 0 && start_moves(figure.limbs[offer.limb[0]]) &&
                      start_moves(figure.limbs[offer.limb[1]]);
        if (!r.has_level) return;
        r.level = LevelLoad{};
        r.level.place = offer.centre - s.ground.origin;
        r.level.ride = offer.ride;
    }

    /// Limbs and links are joined.
    void finish_level() {
        if (!r.has_level) return;
        LevelLoad& level = r.level;
        for (int i = 0; i < r.limb_count; ++i) {
            FixedLimb& limb = r.limb[i];
            if (!limb.holds_load) continue;
            level.lump.mass += limb.end.mass; // the hands go with it
            level.lump.moment += limb.end.moment + (limb.span.end - level.place) * limb.end.mass;
            limb.end = Lump{};
            limb.grip = limb.span.end - level.place;
            const double keyed = norm(limb.span.end - limb.span.start);
            limb.span.most =
                std::min(limb.span.most, std::max(keyed, carriage.level.reach * limb.span.length));
            limb.elbow = make_elbow(limb);
        }
        find_sink();
        const Vec3 top = 0.5 * (place(figure.limbs[carriage.level.limb[0]].upper) +
                                place(figure.limbs[carriage.level.limb[1]].upper));
        const Vec3 &up = s.ground.normal, &fore = s.ground.fore;
        const double height = dot(up, level.place), half = carriage.level.half_size.y;
        const double back = dot(fore, level.place) - carriage.level.half_size.z;
        const double leg = figure.leg_length;
        level.smoothing = 0.012 * leg;
        level.axis = trunk_at(height, top);
        constexpr int heights = 5;
        for (int i = 0; i < figure.limb_count && level.obstacle_count < max_obstacles - heights; ++i) {
            if (figure.limbs[i].kind != APLOMB_LEG) continue;
            const BodyPoint point = leg_point(i, 0, 0.35);
            const double under = dot(up, point.keyed) + 0.12 * leg - (height - level.sink - half);
            const double front = figure.limbs[i].front > 0 ? figure.limbs[i].front : 0.09 * leg;
            add_obstacle(point, std::max(0.0, back - dot(fore, point.keyed) - front) +
                                    0.5 * leg * (1 - smooth_step(under / (0.1 * leg))));
        }
        for (int k = 0; k < heights; ++k) {
            const double at = height - level.sink + half * (0.5 * k - 1.0);
            const BodyPoint point = trunk_at(at, top);
            add_obstacle(point, std::max(0.0, back - dot(fore, point.keyed) - trunk_front(at, top)));
        }
        find_fore_at_key(level);
    }

    void add_obstacle(const BodyPoint& point, double gap) {
        LevelLoad& level = r.level;
        level.gap[level.obstacle_count] = gap, level.obstacle[level.obstacle_count++] = point;
    }

    /// The trunk's axis at a height: hips, spine joints, `top`.
    BodyPoint trunk_at(double height, const Vec3& top) const {
        const Vec3& up = s.ground.normal;
        const Link& chest = r.link[r.chest_link];
        BodyPoint point;
        for (int i = 0; i <= r.chest_link; ++i) {
            const bool last = i == r.chest_link;
            const Vec3 &low = r.link[i].pivot, &high = last ? top : r.link[i + 1].pivot;
            const double bottom = dot(up, low), rise = dot(up, high) - bottom;
            if (!last && height > bottom + rise) continue;
            point.link[0] = i, point.link[1] = last ? i : i + 1;
            if (last) point.lever[1] = top - chest.pivot;
            point.part = rise > 0 ? std::clamp((height - bottom) / rise, 0.0, 1.0) : 0.0;
            point.keyed = low + (high - low) * point.part;
            break;
        }
        return point;
    }

    /// How far the trunk is ahead of its axis at a height; a body without a skin, by its legs.
    double trunk_front(double height, const Vec3& top) const {
        if (!figure.front.known) return 0.13 * figure.leg_length;
        const Vec3& up = s.ground.normal;
        const double bottom = dot(up, r.link[0].pivot), rise = dot(up, top) - bottom;
        const double part = rise > 0 ? (height - bottom) / rise : 0.0;
        const double level = std::clamp(part, 0.0, 1.0) * (front_levels - 1);
        const int below = std::min(static_cast<int>(level), front_levels - 2);
        const double* ahead = figure.front.ahead + below;
        return ahead[0] + (level - below) * (ahead[1] - ahead[0]);
    }

    Elbow make_elbow(const FixedLimb& fixed) const {
        const Limb& limb = figure.limbs[fixed.limb];
        Elbow elbow;
        elbow.ahead = chest_ahead();
        const Vec3 upper = normalized(place(limb.lower) - place(limb.upper));
        const double behind = -dot(upper, elbow.ahead);
        const double keyed = arcsin(std::clamp(behind, -1.0, 1.0));
        elbow.limit = sin_cos(5 * degree + positive_part(keyed + 5 * degree, 5 * degree)).sin;
        const Vec3 left = rotate(from_neutral(figure, s, figure.chest), Vec3{1, 0, 0});
        const Vec3 hinge = cross(fixed.span.line, fixed.span.side);
        const double out = limb.side == APLOMB_SIDE_RIGHT ? -dot(hinge, left) : dot(hinge, left);
        elbow.outwards = out < 0 ? -1 : 1;
        elbow.at_key = positive_part(behind - elbow.limit, elbow_width);
        return elbow;
    }

    /// Where an arm starts once its girdle has dropped.
    Vec3 offered_start(const FixedLimb& limb) const {
        if (limb.follower < 0) return limb.span.start;
        const Follower& girdle = r.follower[limb.follower];
        return place(girdle.joint) + rotate(girdle.offer, limb.lever);
    }

    /// The load sinks no further than its arms reach, and an arm that is keyed straight draws it in by a hair.
    void find_sink() {
        LevelLoad& level = r.level;
        level.sink = carriage.level.sink;
        for (int i = 0; i < r.limb_count; ++i) {
            const FixedLimb& limb = r.limb[i];
            if (!limb.holds_load) continue;
            const Vec3 way = limb.span.end - offered_start(limb);
            const double below = -dot(way, s.ground.normal), reach = 0.995 * limb.span.most;
            const double room = below * below - dot(way, way) + reach * reach;
            level.sink = std::min(level.sink, room > 0 ? std::max(0.0, std::sqrt(room) - below) : 0.0);
        }
        for (int round = 0; round < 4; ++round) {
            for (int i = 0; i < r.limb_count; ++i) {
                const FixedLimb& limb = r.limb[i];
                if (!limb.holds_load) continue;
                const Vec3 way = level.place + limb.grip - s.ground.normal * level.sink - offered_start(limb);
                const double length = norm(way), past = length - limb.span.most;
                if (past > -1e-9 * length) level.place -= way * ((past + 2e-9 * length) / length);
            }
        }
    }
};

} // namespace

Room room_for(const Figure& figure) {
    const auto limbs = static_cast<size_t>(figure.limb_count);
    const auto arms = static_cast<size_t>(std::count_if(figure.limbs, figure.limbs + figure.limb_count,
                                                        [](const Limb& l) { return l.kind == APLOMB_ARM; }));
    const int blocks = std::min(max_blocks, figure.spine_count);
    // Followers: neck and head; of each arm girdle, upper and lower arm.
    return {static_cast<size_t>(1 + figure.spine_count),
            static_cast<size_t>(figure.neck_count) + 1 + 3 * arms, limbs,
            static_cast<size_t>(6 + 3 * blocks) + limbs};
}

void reduce(const Figure& figure, const Key& key, const Stiffness& stiffness, const Carriage& carriage,
            int32_t* group, Reduction& out) {
    std::fill(group, group + figure.joint_count, unset);
    out.follower_count = out.limb_count = out.block_count = 0;
    out.fixed = Lump{};
    std::fill(out.sigma, out.sigma + max_variables, 0.0);
    Builder b{figure, key, stiffness, carriage, group, out};
    b.add_hips();
    if (stiffness.spine_free) b.add_spine();
    b.finish_blocks();
    b.begin_level();
    b.add_limbs();
    b.add_neck();
    b.add_arms();
    b.lump_all();
    b.join();
    b.finish_level();
    b.add_pulls();
    b.add_further_variables();
}

void scale_offers(Reduction& r, double part) {
    for (int i = 0; i < r.follower_count; ++i) {
        r.follower[i].offer = exp_rotation(log_rotation(r.follower[i].offer) * part);
        r.follower[i].clear.angle *= part;
    }
    if (r.has_level) r.level.sink *= part;
}

} // namespace aplomb
