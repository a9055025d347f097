// SPDX-License-Identifier: MIT
// Which joints of a skeleton tell how the body stands and which way it faces.
#pragma once

#include "io/character_file.h"

#include <vector>

namespace aplomb::io {

/// A limb that the body can stand on; -1 where it has no such joint.
struct PlanLeg {
    int upper = -1, lower = -1, end = -1, toe = -1;
    bool fore = false;
    int side = 0; // by its name: 1 left, -1 right; 0: the name does not tell
};

struct BodyPlan {
    std::vector<PlanLeg> legs;
    std::vector<int> trunk;      // its joints and all joints that they carry
    int top = -1;                // the head, or the last joint of the spine
    int shoulders[2] = {-1, -1}; // a pair of arms' first joints
    int tail = -1;               // the last joint of a branch behind the trunk
    bool trunk_lies = false;     // on two feet, weighed up by the tail: it tells no way up

    bool has_fore_legs() const;
    /// Finds the first and the other leg of a pair; false where there is no pair.
    bool pair(const PlanLeg** first, const PlanLeg** other) const;
};

/// From how the joints branch, without names and axes: the trunk is the largest branch that has as many joints as no other,
/// legs are the longest that come in pairs, and of those that do not the longest is the tail.
BodyPlan plan_of_tree(const std::vector<SkeletonJoint>& joints, const Pose& rest);

/// From the roles of a figure. `turned`: the same figure made facing the other way. Sides that names tell are the same in
/// both, sides that the shape tells change.
BodyPlan plan_of_figure(const aplomb_figure& figure, const aplomb_figure& turned);

} // namespace aplomb::io
