// SPDX-License-Identifier: MIT
// The reduced model: only a few joints move in a correction, so every segment and load is lumped with the
// nearest one that does. Links are the hips and the lean joints of the spine, a tree with parents first; fixed limbs
// and followers (neck, head, arms that give back part of the chest's turn) hang on links; all else is a constant.
#pragma once

#include "carry/carriage.h"
#include "model/level_load.h"
#include "model/stiffness.h"
#include "model/two_span.h"
#include "moment/key.h"

namespace aplomb {

inline constexpr int max_blocks = 8; // lean variables, 3 numbers each; past that neighbours share one
inline constexpr int max_links = 1 + max_lean_joints;
// Limbs that hold a load have no swivel, so there is room for the load's own variable.
inline constexpr int max_variables = 6 + 3 * max_blocks + max_limbs;

/// The most that a figure's correction can need of each.
struct Room {
    size_t links, followers, limbs, variables;
};
Room room_for(const Figure& figure);

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

/// An arm that hangs keeps what it carries off the leg: it goes out from its follower's turn by the angle whose tangent is
/// smax(t, 0) less the same at the key, t = (wanted - gap) / length, smax as in level_load.h with e = .03.
struct Clearance {
    double side = 0; // +1: out is to the left, -1: to the right; 0: it does not
    Vec3 line;       // from the arm's start to where it holds, keyed world axes
    Vec3 ahead;      // the axis
    double hang = 0; // to the left, from there to the load's centre
    double wanted = 0, length = 0, at_key = 0;
    BodyPoint leg; // at the load's height
    // It goes out by this angle about `ahead` instead, and all that hangs on it: as clips have it, which know what comes.
    bool given = false;
    double angle = 0;
};

inline constexpr double clearance_width = 0.03;

/// A part that turns less than the link that it hangs on, without a variable of its own: a neck, a head, an arm. Its turn
/// since the key is exp(keep log(turn of the link)) * offer.
struct Follower {
    int link = -1;
    int parent = -1; // the follower that it starts from; -1: the link
    int joint = -1;
    Vec3 lever;      // of its start, from the parent's start or the link's pivot
    double keep = 1; // part of the link's turn that it takes over
    Quat offer;      // what a load makes of it on its own, in keyed world axes
    Clearance clear; // of an arm that nothing else starts from
    Lump lump;       // about its start
};

/// A limb whose end is not carried along rigidly by its start: it bears, is held, or holds a load.
struct FixedLimb {
    int limb = -1, link = -1;
    int follower = -1; // that it starts from, such as a shoulder's girdle; -1: the link
    bool bearing = false;
    bool holds_load = false; // its end rides with the level load
    double ride = 0;         // part of its start's way that its end goes along
    double with_chest = 0;   // part of the chest's motion that it goes along
    Vec3 lever;              // of its start, from the follower's start or the link's pivot
    Vec3 grip;               // of its end, from the level load's place
    Vec3 chest_lever;        // from the chest's pivot, if it goes with the chest
    Vec3 moved;              // of its end, by what the loop lets it ride or give; in span.end already
    TwoSpan span;
    Elbow elbow;
    Lump upper, lower, end;          // about the starts of the spans and the end
    Vec3 upper_moment, lower_moment; // the same in the spans' own frames
    int swivel = -1;                 // variable
};

/// Where a pull acts; at most one of link, follower and limb is set, none: on a part that does not move.
struct PulledPoint {
    int link = -1, follower = -1, limb = -1, span = 0;
    Vec3 lever; // from the lump's reference point, keyed world axes
};

struct Reduction {
    int link_count = 0, follower_count = 0, limb_count = 0, block_count = 0;
    int variable_count = 0;
    Link* link = nullptr;
    Follower* follower = nullptr;
    FixedLimb* limb = nullptr;
    PulledPoint pulled[APLOMB_MAX_PULLS];
    bool has_level = false;
    LevelLoad level;
    Lump fixed; // all that does not move, about the ground's origin
    int chest_link = 0;
    int head_follower = -1;                       // what the head is rigid with; -1: the chest
    double sigma[max_variables];                  // per variable; 0: not free
    Vec3 lowest[max_blocks], highest[max_blocks]; // bounds on each block from the joints' limits

    static constexpr int hips_shift = 0, hips_turn = 3, first_block = 6;
    int block_variable(int block) const { return first_block + 3 * block; }
};

/// `group` has room for one entry per joint.
void reduce(const Figure& figure, const Key& key, const Stiffness& stiffness, const Carriage& carriage,
            int32_t* group, Reduction& out);
/// Leaves that part of what loads make of arms and neck, 0 to 1.
void scale_offers(Reduction& reduction, double part);

} // namespace aplomb
