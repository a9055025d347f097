// SPDX-License-Identifier: MIT
// The key: one pose as it was animated, measured with what is asked of its moment. Whatever works on a moment reads this alone.
#pragma once

#include "base/block.h"
#include "figure/frame.h"
#include "moment/ask.h"
#include "moment/ground.h"
#include "moment/unmeasured.h"

namespace aplomb {

struct Load : AskedLoad {
    Vec3 local[2];         // where it is held or hangs from, in each holder's frame; the mean of both counts
    Vec3 hang;             // from there to its centre, world; zero for a rigid load
    Vec3 centre;           // world
    int arm[2] = {-1, -1}; // the free arms, limbs, that hold it; -1: none
    // In both hands: it is carried level, and goes by where the wrists are, not how they turn.
    bool level = false;
    Vec3 from_wrists; // of its centre from the middle of the wrists, keyed world
    Quat chest;       // keyed turn in the world of what twists it
};

struct Pull : AskedPull {
    Vec3 point; // world
};

/// Room for a pose and its measures: per joint. A solver lends it, or a frame of a clip.
struct PoseRoom {
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

struct Key {
    PoseView pose{}; // the keyed one, or that of repose()
    Body body;
    Ground ground;
    Stance stance;
    int load_count = 0, pull_count = 0;
    Load load[APLOMB_MAX_LOADS];
    Pull pull[APLOMB_MAX_PULLS];
    Pressing pressing;      // of figure, loads and pulls
    Pressing body_pressing; // without the loads
    Vec2 body_point;        // p0: without loads (pulls included)
    Vec2 balance_point;     // p1: with them
};

/// Rotation of a joint in the world since the anatomical neutral.
inline Quat from_neutral(const Figure& figure, const Key& key, int joint) {
    return key.body.world[joint].rotation * conjugate(figure.joints[joint].neutral);
}

/// Measures the pose that `room` holds, and has the key keep it there. At least one contact must bear.
Unmeasured measure(const Figure& figure, const BodyPlan& plan, const Ask& ask, const PoseRoom& room,
                   Key& key);
/// The same in two steps, between which the caller makes the stance, which may be without contacts: body and ground, then
/// what is carried and where the plumb line is.
Unmeasured measure_pose(const Figure& figure, const BodyPlan& plan, const Ask& ask, const PoseRoom& room,
                        Key& key);
/// The stance that is asked for, or that the measured pose shows.
void make_stance(const Figure& figure, const Ask& ask, Key& key);
Unmeasured measure_carried(const Figure& figure, const Ask& ask, Key& key);

/// The same moment in the corrected pose that `room` holds: contacts stay where they are keyed, loads and pulls ride along.
Unmeasured repose(const Figure& figure, const BodyPlan& plan, const PoseRoom& room, Key& key);

/// The balance point of another pose of the same moment, which is measured in its room.
Vec2 balance_point_of_pose(const Figure& figure, const BodyPlan& plan, const Key& key, const PoseRoom& room);

} // namespace aplomb
