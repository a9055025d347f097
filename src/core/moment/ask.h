// SPDX-License-Identifier: MIT
// What is asked of one moment: contacts, loads, pulls, gravity and motion, checked once (capi/situation), in metres and
// anatomical axes. No pose and nothing of the caller's memory is in it: one ask serves any pose.
#pragma once

#include "moment/contacts.h"

namespace aplomb {

inline constexpr double standard_gravity = 9.80665; // ISO 80000-3

struct AskedLoad {
    double mass = 0;
    int holder_count = 1;
    int holder[2] = {-1, -1};
    Vec3 offset;    // from the grip, along the ground's left, up, fore
    Vec3 half_size; // left, up, fore; 0: unknown
    bool hanging = false;
    double cord = 0;      // of a hanging load, down to its centre
    double give_back = 0; // part of the chest's turn that the holding arms undo
};

struct AskedPull {
    int joint = -1;
    Vec3 local; // where it acts, in the joint's frame
    Vec3 force;
};

struct Ask {
    bool gives_contacts = false; // else the stance is what the pose shows
    int contact_count = 0, load_count = 0, pull_count = 0;
    AskedContact contact[APLOMB_MAX_CONTACTS];
    AskedLoad load[APLOMB_MAX_LOADS];
    AskedPull pull[APLOMB_MAX_PULLS];
    Vec3 gravity = {0, -standard_gravity, 0};
    Vec3 normal = {0, 1, 0}; // of the ground, unit
    Vec3 acceleration;       // of the centre of mass
    Vec3 momentum_rate;      // of the angular momentum about it
};

/// The least cosine between a force and the ground's inward normal: below it, a force a metre up meets the ground a kilometre
/// away.
inline constexpr double least_pressing_cosine = 1e-3;

} // namespace aplomb
