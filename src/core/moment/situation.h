// SPDX-License-Identifier: MIT
// One moment brought inside: pose, ground, stance, loads and pulls in metres and anatomical axes, checked.
#pragma once

#include "base/block.h"
#include "moment/contacts.h"
#include "moment/ground.h"

namespace aplomb {

inline constexpr double standard_gravity = 9.80665; // ISO 80000-3

struct Load {
    double mass = 0;
    int holder_count = 1;
    int holder[2] = {-1, -1};
    Vec3 local[2];  // where it is held or hangs from, in each holder's frame; the mean of both counts
    Vec3 hang;      // from there to its centre, world; zero for a rigid load
    Vec3 centre;    // world
    Vec3 half_size; // left, up, fore, metres; 0: unknown
    bool hanging = false;
    double give_back = 0;  // part of the chest's turn that the holding arms undo
    int arm[2] = {-1, -1}; // the free arms, limbs, that hold it; -1: none
    // In both hands: it is carried level, and goes by where the wrists are, not how they turn.
    bool level = false;
    Vec3 from_wrists; // of its centre from the middle of the wrists, keyed world
    Quat chest;       // keyed turn in the world of what twists it
};

struct Pull {
    int joint = -1;
    Vec3 local; // where it acts, in the joint's frame
    Vec3 point; // world
    Vec3 force;
};

struct Situation {
    PoseView pose{}; // the keyed one, or that of repose()
    Body body;
    Ground ground;
    Stance stance;
    int load_count = 0, pull_count = 0;
    Load load[APLOMB_MAX_LOADS];
    Pull pull[APLOMB_MAX_PULLS];
    Vec3 momentum_rate;     // of the angular momentum about the centre of mass
    Pressing pressing;      // of figure, loads and pulls
    Pressing body_pressing; // without the loads
    Vec2 body_point;        // p0: without loads (pulls included)
    Vec2 balance_point;     // p1: with them
};

/// Metres from under the hips: what lies on the ground beyond it is no place for a verdict. So no margin, and no other
/// length that a verdict has, comes out at more than a kilometre.
inline constexpr double farthest_place = 500;

/// Refuses balance points that are not on the ground within `farthest_place`.
aplomb_status check_balance_points(const Situation& situation, aplomb_error* error);

/// Rotation of a joint in the world since the anatomical neutral.
inline Quat from_neutral(const Figure& figure, const Situation& s, int joint) {
    return s.body.world[joint].rotation * conjugate(figure.joints[joint].neutral);
}

/// Memory that a situation points into: per joint, kept by the solver.
struct SituationMemory {
    Vec3* translations;
    Quat* rotations;
    Placement* world;
    Vec3* centre;

    void lay_out(Layout& layout, size_t joints) {
        translations = layout.take<Vec3>(joints);
        rotations = layout.take<Quat>(joints);
        world = layout.take<Placement>(joints);
        centre = layout.take<Vec3>(joints);
    }
};

/// In two steps, between which the stance is made: pose and ground, then what is carried and where the plumb line is. The
/// second takes a stance without contacts, too.
aplomb_status bring_pose(const Figure& figure, const BodyPlan& plan, const aplomb_situation& given,
                         const SituationMemory& memory, Situation& situation, aplomb_error* error);
aplomb_status bring_carried(const Figure& figure, const aplomb_situation& given, Situation& situation,
                            aplomb_error* error);
aplomb_status make_situation(const Figure& figure, const BodyPlan& plan, const aplomb_situation& given,
                             const SituationMemory& memory, Situation& situation, aplomb_error* error);

/// The same moment in a corrected pose: contacts stay where they are keyed, loads and pulls ride along.
void repose(const Figure& figure, const BodyPlan& plan, const PoseView& pose, Situation& situation);

/// The balance point of another pose of the same moment; `body` gets its measures.
Vec2 balance_point_of_pose(const Figure& figure, const BodyPlan& plan, const Situation& situation,
                           const PoseView& pose, Body& body);

} // namespace aplomb
