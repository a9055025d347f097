// SPDX-License-Identifier: MIT
// The reduced model: only a few joints move in a correction, so every segment and load is lumped with the
// nearest one that does. Links are the hips and the lean joints, a tree with parents first; fixed limbs and
// arms that give back part of the chest's turn hang on links; all else is a constant.
#pragma once

#include "model/stiffness.h"
#include "model/two_span.h"
#include "moment/situation.h"

namespace aplomb {

inline constexpr int max_blocks = 8; // lean variables, 3 numbers each; past that neighbours share one
inline constexpr int max_links = 1 + 2 * max_lean_joints;
inline constexpr int max_variables = 6 + 3 * max_blocks + max_limbs;

/// The most that a figure's correction can need of each.
struct Room {
    size_t links, limbs, variables;
};
Room room_for(const Figure& figure);

/// A rigid lump: mass, and first moment about its own reference point, in keyed world axes.
struct Lump {
    double mass = 0;
    Vec3 moment;
};

/// The hips (link 0) or a lean joint with all that is rigid with it.
struct Link {
    int joint = -1;
    int parent = -1;      // link
    int block = -1;       // variable block; -1 for the hips
    Vec3 weight{1, 1, 1}; // part of the block's number that this joint takes, per axis
    Vec3 pivot;           // keyed world place
    Vec3 lever;           // from the parent's pivot
    // Turn since the key = parent's turn * before * exp(keyed + x) * after, from the anatomical neutral.
    Quat before, after;
    Vec3 keyed;
    Lump lump; // about the pivot
};

/// An arm under a load that turns less than the chest does.
struct ArmLump {
    int link = -1;
    int joint = -1;
    Vec3 lever;      // from the link's pivot
    double keep = 0; // part of the link's turn that it takes over
    Lump lump;       // about the arm's start
};

/// A limb whose end is bearing or held.
struct FixedLimb {
    int limb = -1, link = -1;
    bool bearing = false;
    Vec3 lever; // of its start, from the link's pivot
    Vec3 moved; // of its end, from the keyed place: by what the loop lets it ride, or give; in span.end already
    TwoSpan span;
    Lump upper, lower, end;          // about the starts of the spans and the end
    Vec3 upper_moment, lower_moment; // the same in the spans' own frames
    int swivel = -1;                 // variable
};

/// Where a pull acts; at most one of link, arm and limb is set, none: on a part that does not move.
struct PulledPoint {
    int link = -1, arm = -1, limb = -1, span = 0;
    Vec3 lever; // from the lump's reference point, keyed world axes
};

struct Reduction {
    int link_count = 0, arm_count = 0, limb_count = 0, block_count = 0, spine_block_count = 0;
    int variable_count = 0;
    Link* link = nullptr;
    ArmLump* arm = nullptr;
    FixedLimb* limb = nullptr;
    PulledPoint pulled[APLOMB_MAX_PULLS];
    Lump fixed;                                   // all that does not move, about the ground's origin
    int chest_link = 0, head_link = -1;           // head_link -1: the head is not kept level
    double sigma[max_variables];                  // per variable; 0: not free
    Vec3 lowest[max_blocks], highest[max_blocks]; // bounds on each block from the joints' limits

    static constexpr int hips_shift = 0, hips_turn = 3, first_block = 6;
    int block_variable(int block) const { return first_block + 3 * block; }
};

/// `group` has room for one entry per joint.
void reduce(const Figure& figure, const Situation& situation, const Stiffness& stiffness, int32_t* group,
            Reduction& out);

/// Rotation of a joint in the world since the anatomical neutral.
inline Quat from_neutral(const Figure& figure, const Situation& s, int joint) {
    return s.body.world[joint].rotation * conjugate(figure.joints[joint].neutral);
}

} // namespace aplomb
