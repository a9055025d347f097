// SPDX-License-Identifier: MIT
// The adult's keyed carrying poses, and what a correction of them looks like.
#pragma once

#include "balance/moment.h"

namespace own {

inline const Character& adult() {
    static const Character made(lay::LayFigure::adult());
    return made;
}

inline lay::Pose stand(const Character& c, double knee_bend = 8) {
    lay::Pose pose = c.rest_pose();
    if (knee_bend > 0) pose.soft_knees(knee_bend);
    return pose;
}

/// Loads are parts of the body's mass. A rigid load on a joint, its centre this far from it.
inline aplomb_load load_on(const Character& c, const std::string& joint, double part, double left, double up,
                           double forward) {
    aplomb_load load = aplomb_load_make(part * c.bones.body_mass(), c.find(joint));
    load.offset[0] = left, load.offset[1] = up, load.offset[2] = forward;
    return load;
}

/// A bucket that hangs from a hand.
inline aplomb_load bucket(const Character& c, const std::string& hand, double part) {
    aplomb_load load = aplomb_load_make(part * c.bones.body_mass(), c.find(hand));
    load.hanging = 1, load.hang = 0.3;
    return load;
}

/// A box carried by the chest: how far in front of the body's own balance point its centre is.
inline aplomb_load box(const Character& c, const lay::Pose& pose, double part, double forward,
                       double height) {
    const aplomb_reading alone = read(c, Moment(pose));
    const aplomb::Vec3 chest = pose.place("spine_3");
    return load_on(c, "spine_3", part, 0, height - chest.y, alone.balance_point[2] + forward - chest.z);
}

/// The correction in an animator's terms, degrees and metres; forward, left, up positive.
struct Look {
    double lean_forward = 0, lean_left = 0; // of the chest since the key
    double hips_forward = 0, hips_left = 0, hips_up = 0;
    double knee_change[2] = {0, 0}; // left, right
    double before = 0, after = 0;   // balance point to home
};

double knee_bend(const Character& c, const World& w, const std::string& side);

inline double to_home(const aplomb_result& r, const aplomb_reading& reading) {
    return std::hypot(reading.balance_point[0] - r.home[0], reading.balance_point[2] - r.home[2]);
}

Look look_of(const Character& c, const Moment& m, const Answer& a);

/// A pose on the right foot, the left one lifted to this height in front.
inline lay::Pose lifted_left(const Character& c, double height) {
    lay::Pose pose = stand(c);
    const lay::Point a = c.shape.position(c.find("left_foot"));
    pose.stand_on("left", {a.x, a.y + height, a.z + 0.5 * height}, 10);
    return pose;
}

inline std::vector<aplomb_contact> on_right_foot(const Character& c) {
    return {aplomb_contact_make(c.limb("left_foot"), APLOMB_HELD),
            aplomb_contact_make(c.limb("right_foot"), APLOMB_BEARING)};
}

} // namespace own
