// SPDX-License-Identifier: MIT
// What touches the ground at one moment, in the world, and what every limb's end does.
#pragma once

#include <limits>

#include "moment/body.h"

namespace aplomb {

inline constexpr double usual_friction = 0.6; // common practice

/// What is asked of a limb's end, or of a patch of a joint, as it is where nothing else is said.
struct AskedContact {
    int limb = -1; // or -1: a patch of `joint`
    int joint = -1;
    aplomb_hold hold = APLOMB_FREE;
    aplomb_footing footing = APLOMB_FLAT;
    aplomb_ride ride = APLOMB_RIDE_PLACE; // what a held end rides on, never APLOMB_RIDE_USUAL
    double bearing = 1;
    double share = std::numeric_limits<double>::quiet_NaN(); // wished; NaN: none
    double friction = usual_friction;
    int point_count = 0;
    UnsetVec3 point[max_sole_points]; // of a patch, in the joint's frame
};
inline AskedContact usual_contact(int limb, aplomb_hold hold) {
    AskedContact contact;
    contact.limb = limb, contact.hold = hold;
    return contact;
}

/// A patch that bears weight.
struct Contact {
    int given = 0; // its index among the asked ones
    int limb = -1; // or -1: a patch of `joint`
    int joint = -1;
    double bearing = 1;
    double share = 0; // wished; NaN: none
    double friction = 0;
    int point_count = 0;
    UnsetVec3 point[max_sole_points];
    // The touching part's centre line, and where on the whole sole (0 heel, 1 tip) its ends are.
    Vec3 back, tip;
    double back_place = 0, tip_place = 1;
    Vec3 home[2]; // the middle of that line, where a still body's weight belongs
};

struct Stance {
    int contact_count = 0;
    Contact contact[APLOMB_MAX_CONTACTS];
    aplomb_hold hold[max_limbs] = {}; // per limb
    aplomb_ride ride[max_limbs] = {}; // per limb: what its end rides on, never APLOMB_RIDE_USUAL
    bool hips_still = false;          // a seat or a knee bears: the hips stay
    int trunk_patch = -1;             // in `contact`: one that bears on a part that a correction moves
};

/// The corners of a contact's part of the rest zone; at most max_sole_points. Returns their number.
int zone_of(const Figure& figure, const Contact& contact, const Vec3& up, Vec3* zone);

/// The stance that the pose shows, one contact per limb; returns their number.
int default_contacts(const Figure& figure, const Placement* world, const Vec3& up, AskedContact* contacts);
/// The same of a pose in the host's units and axes, already checked, on level ground. It stores no joint's place and hands
/// over one contact after another, so it needs no memory.
int default_contacts(const Figure& figure, const double* translations, const double* rotations,
                     void (*keep)(const AskedContact& contact, void* to), void* to);

/// Places contacts in the world.
void make_stance(const Figure& figure, const Placement* world, const AskedContact* contacts, int count,
                 Stance& stance);

/// A whole sole, and where on its centre line the ball's part begins.
struct WholeSole {
    Contact contact;
    Vec3 ball_line;
};
/// As a limb's lies in the world.
WholeSole sole_of(const Figure& figure, const Placement* world, int limb);
/// Where a foot stood that has left the ground: the sole's print, placed by the two ends of its centre line.
WholeSole footprint(const Figure& figure, int limb, const Vec3& up, const Vec3& heel, const Vec3& tip);
/// The sole with its less bearing part (heel or ball) shrunk towards the middle of the other one, so that flat, on the ball
/// and on the heel blend into each other.
Contact with_bearings(const Figure& figure, const WholeSole& sole, double heel, double ball);

/// Refuses what only a reading can take: a patch that bears on a part which a correction moves.
aplomb_status check_correctable(const Figure& figure, const Stance& stance, aplomb_error* error);

} // namespace aplomb
