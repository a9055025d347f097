// SPDX-License-Identifier: MIT
// What a load makes of a body beside moving its balance point: where hips, pelvis, spine and knees would rather be, how
// stiff they are about that, and what arms, girdles and neck do on their own. These are targets and closed forms, scaled
// by `heft`; the pose problem weighs the targets, the model takes the closed forms in. parts.h lists who fills it.
#pragma once

#include <cstdint>

#include "carry/measures.h"

namespace aplomb {

/// What an arm does on its own, against the chest.
struct ArmOffer {
    double girdle = 0;    // radians, its girdle's lean: positive lifts the left
    Quat upper;           // in keyed world axes
    double elbow = 0;     // radians of more bend
    Quat lower;           // a further turn of the lower arm, in keyed world axes
    double give_back = 0; // part of the chest's turn that it does not go along with
    double clear = 0;     // metres that its load's centre keeps to the side of the leg; with `load`
    int load = -1;        // that it hangs from: where it is kept off the leg
    int leg = -1;         // limb
};

struct LevelOffer {
    double sink = 0; // metres
    double ride =
        1; // part of what it rides along; 0: it and the hands that hold it stay where they are keyed
    double reach = 1;        // part of their length that its arms may stretch to, or as far as keyed
    double pull = 0;         // standard deviation of how far it is drawn in, metres; 0: not at all
    Vec3 half_size{0, 0, 0}; // left, up, fore
    Vec3 centre;             // world
    int limb[2] = {-1, -1};  // whose hands hold it; -1: nothing
    uint32_t loads = 0;      // a bit for each
};

struct Carriage {
    bool asks = false;           // false: nothing here but what every pose has
    Vec3 hips;                   // targets of their shift: fore, left, up, metres
    Vec3 pelvis;                 // of their turn: pitch, twist, roll
    double spine_side = 0;       // of the whole spine's lean, by shares
    double curve = 0;            // of the top spine joint's lean, of the lowest one's the other way
    double bend[max_limbs] = {}; // of a knee, beyond the keyed one
    // What standard deviations are multiplied with.
    double hips_fore = 1, pelvis_pitch = 1, pelvis_roll = 1, spine_bend = 1;
    double away = 0; // how much the chest must not lean to a side, and to which: positive, the left
    double ride[max_limbs] = {};       // part of the hip joint's way that a lifted foot goes along
    double with_chest[max_limbs] = {}; // part of the chest's motion that a held hand goes along
    ArmOffer arm[max_limbs];
    double neck = 0;      // part of the chest's turn that neck and head give back
    double neck_lean = 0; // of neck and head, positive lifts the left
    LevelOffer level;
};

Carriage make_carriage(const Figure& figure, const BodyPlan& plan, const Key& key, const Aim& aim,
                       const aplomb_options& options);

} // namespace aplomb
