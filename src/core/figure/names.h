// SPDX-License-Identifier: MIT
// What a joint's name says. Names are cut at separators, digits and capitals, and each run of letters into
// words of a fixed vocabulary, in any order: "LeftUpLeg", "upperleg01.L", "rig:l_thigh" all speak of a thigh.
#pragma once

#include "aplomb/aplomb.h"

namespace aplomb {

/// What one name says by itself, before its neighbours are asked.
enum class NameClass {
    none, // nothing known
    root,
    hips,
    spine,
    neck,
    head,
    // Limbs, from here ...
    side_of_hips, // "pelvis.L", "LHipJoint", "rButtock": a helper, or H-Anim's "l_hip": a thigh
    girdle,
    shoulder, // girdle or upper arm
    arm,      // upper or lower
    upper_arm,
    lower_arm,
    hand,
    leg, // thigh or shank
    thigh,
    shank,
    foot, // ... to here
    toe,
    tail,
    prop,
    helper // fingers, face, twist and control joints
};

struct NameReading {
    NameClass what = NameClass::none;
    aplomb_side side = APLOMB_SIDE_FROM_NAME; // FROM_NAME: the name bears no mark of a side
};

/// `name` may be empty.
NameReading read_name(const char* name);

} // namespace aplomb
