// SPDX-License-Identifier: MIT
#include "model/reduction.h"

#include <algorithm>

namespace aplomb {
namespace {

// A joint's group: a link, an arm, one of a limb's three parts, or nothing that moves.
constexpr int32_t unset = -1, still = -2;
constexpr int32_t arm_base = 1000, limb_base = 2000;

int32_t limb_group(int limb, int part) {
    return limb_base + 4 * limb + part;
}

constexpr double same_place = 1e-6; // of the leg's length

/// Standard deviations of one lean joint, from its share of the whole.
Vec3 joint_sigma(const LeanJoint& lean, const Vec3& whole) {
    return {std::sqrt(lean.share.x) * whole.x, std::sqrt(lean.share.y) * whole.y,
            std::sqrt(lean.share.z) * whole.z};
}

/// How many of the blocks go to the spine and how many to the neck.
void divide_blocks(int spine, int neck, int& spine_blocks, int& neck_blocks) {
    neck_blocks = std::min(neck, std::max(2, max_blocks - spine));
    if (spine == 0) neck_blocks = std::min(neck, max_blocks);
    spine_blocks = std::min(spine, max_blocks - neck_blocks);
}

struct Builder {
    const Figure& figure;
    const Situation& s;
    const Stiffness& stiffness;
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
            r.sigma[i] = shift[i], r.sigma[3 + i] = stiffness.hips_turn;
    }

    /// Joints at one place are one joint cut in two: they turn together, so that the cut changes nothing.
    bool at_one_place(int joint, int other) const {
        return norm(figure.joints[joint].neutral_position - figure.joints[other].neutral_position) <=
               same_place * figure.leg_length;
    }

    /// Adds the lean joints of one part of the trunk, `blocks` of them with a variable of their own.
    void add_lean(const LeanJoint* lean, int count, int blocks, const Vec3& whole) {
        int place[max_lean_joints]; // the index of each joint's place, from below
        int places = 0;
        for (int i = 0, last = -1; i < count; ++i) {
            if (is_locked(lean[i].joint)) continue;
            if (last < 0 || !at_one_place(lean[last].joint, lean[i].joint)) ++places;
            place[i] = places - 1, last = i;
        }
        blocks = std::min(blocks, places);
        for (int i = 0; i < count; ++i) {
            if (is_locked(lean[i].joint)) continue;
            add_link(lean[i].joint, r.block_count + place[i] * blocks / places, joint_sigma(lean[i], whole));
        }
        r.block_count += blocks;
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
            if (s.stance.hold[i] == APLOMB_FREE || !start_moves(limb))
                continue; // it stays as it is with the rest
            group[limb.upper] = limb_group(r.limb_count, 0);
            group[limb.lower] = limb_group(r.limb_count, 1);
            group[limb.end] = limb_group(r.limb_count, 2);
            FixedLimb& fixed = r.limb[r.limb_count++];
            fixed = FixedLimb{};
            fixed.limb = i;
            fixed.bearing = s.stance.hold[i] == APLOMB_BEARING;
            // A bone hangs along -y in the neutral; the hinge is carried by the keyed first span.
            const Vec3 hinge = rotate(from_neutral(figure, s, limb.upper), limb.hinge);
            fixed.span = make_two_span(place(limb.upper), place(limb.lower), place(limb.end), hinge,
                                       limb.least_bend, limb.most_bend);
            fixed.span.gives_way = !fixed.bearing;
            // Hips that may not be lowered leave a limb that is keyed straighter than the bound as it is.
            const double keyed = norm(fixed.span.end - fixed.span.start);
            if (r.sigma[2] <= 0 && fixed.bearing)
                fixed.span.most = std::clamp(keyed, fixed.span.most, fixed.span.length * (1.0 - 1e-9));
        }
    }

    /// Free arms under a load that hangs, or is to stay level.
    void add_arms() {
        for (int k = 0; k < s.load_count; ++k) {
            const Load& load = s.load[k];
            if (load.give_back <= 0 || load.mass <= 0) continue;
            for (int h = 0; h < load.holder_count; ++h)
                add_arm(load.holder[h], load.give_back);
        }
    }

    void add_arm(int holder, double give_back) {
        for (int i = 0; i < figure.limb_count; ++i) {
            const Limb& limb = figure.limbs[i];
            if (limb.kind != APLOMB_ARM || !holds(limb, holder) || group[limb.upper] != unset) continue;
            group[limb.upper] = arm_base + r.arm_count;
            ArmLump& arm = r.arm[r.arm_count++];
            arm = ArmLump{};
            arm.joint = limb.upper;
            arm.keep = 1.0 - give_back;
        }
    }

    bool holds(const Limb& limb, int joint) const {
        while (joint >= 0 && joint != limb.upper)
            joint = figure.joints[joint].carrier;
        return joint == limb.upper;
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
        if (g >= arm_base) {
            ArmLump& arm = r.arm[g - arm_base];
            reference = place(arm.joint);
            return arm.lump;
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
            for (int h = 0; h < load.holder_count; ++h) {
                const Vec3 held = to_world(s.body.world[load.holder[h]], load.local[h]);
                add_mass(group[load.holder[h]], load.mass / load.holder_count, held);
                r.fixed.moment +=
                    load.hang * (load.mass / load.holder_count); // hangs straight down whatever turns
            }
        }
    }

    int link_above(int joint) const {
        const int above = figure.joints[joint].carrier;
        return above >= 0 && group[above] >= 0 && group[above] < arm_base ? group[above] : 0;
    }

    void join() {
        for (int i = 1; i < r.link_count; ++i) {
            r.link[i].parent = link_above(r.link[i].joint);
            r.link[i].lever = r.link[i].pivot - r.link[r.link[i].parent].pivot;
        }
        for (int i = 0; i < r.arm_count; ++i) {
            r.arm[i].link = link_above(r.arm[i].joint);
            r.arm[i].lever = place(r.arm[i].joint) - r.link[r.arm[i].link].pivot;
        }
        for (int i = 0; i < r.limb_count; ++i) {
            FixedLimb& limb = r.limb[i];
            limb.link = link_above(figure.limbs[limb.limb].upper);
            limb.lever = limb.span.start - r.link[limb.link].pivot;
            limb.upper_moment = transposed_times(limb.span.upper_frame, limb.upper.moment);
            limb.lower_moment = transposed_times(limb.span.lower_frame, limb.lower.moment);
        }
        const int32_t chest = group[figure.chest], head = figure.head >= 0 ? group[figure.head] : still;
        r.chest_link = chest >= 0 && chest < arm_base ? chest : 0;
        r.head_link = stiffness.neck_free && head > 0 && head < arm_base && head != r.chest_link ? head : -1;
    }

    void add_pulls() {
        for (int k = 0; k < s.pull_count; ++k) {
            PulledPoint& p = r.pulled[k];
            p = PulledPoint{};
            const int32_t g = group[s.pull[k].joint];
            if (g >= limb_base)
                p.limb = (g - limb_base) / 4, p.span = (g - limb_base) % 4;
            else if (g >= arm_base)
                p.arm = g - arm_base;
            else if (g >= 0)
                p.link = g;
            Vec3 reference;
            lump_of(g, reference);
            p.lever = s.pull[k].point - s.ground.origin - reference;
        }
    }

    void add_swivels() {
        r.variable_count = r.block_variable(r.block_count);
        if (!stiffness.swivel_free) return;
        for (int i = 0; i < r.limb_count; ++i) {
            r.limb[i].swivel = r.variable_count;
            r.sigma[r.variable_count++] = stiffness.swivel;
        }
    }
};

} // namespace

Room room_for(const Figure& figure) {
    const int lean = figure.spine_count + figure.neck_count;
    return {static_cast<size_t>(1 + lean), static_cast<size_t>(figure.limb_count),
            static_cast<size_t>(6 + 3 * std::min(max_blocks, lean) + figure.limb_count)};
}

void reduce(const Figure& figure, const Situation& situation, const Stiffness& stiffness, int32_t* group,
            Reduction& out) {
    std::fill(group, group + figure.joint_count, unset);
    out.arm_count = out.limb_count = out.block_count = 0;
    out.fixed = Lump{};
    std::fill(out.sigma, out.sigma + max_variables, 0.0);
    Builder b{figure, situation, stiffness, group, out};
    b.add_hips();
    int spine_blocks, neck_blocks;
    divide_blocks(figure.spine_count, figure.neck_count, spine_blocks, neck_blocks);
    if (stiffness.spine_free) b.add_lean(figure.spine, figure.spine_count, spine_blocks, stiffness.trunk);
    out.spine_block_count = out.block_count;
    if (stiffness.neck_free)
        b.add_lean(figure.neck, figure.neck_count, neck_blocks,
                   {stiffness.neck, stiffness.neck, stiffness.neck});
    b.finish_blocks();
    b.add_limbs();
    b.add_arms();
    b.lump_all();
    b.join();
    b.add_pulls();
    b.add_swivels();
}

} // namespace aplomb
