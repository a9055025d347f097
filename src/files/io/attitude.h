// SPDX-License-Identifier: MIT
// How a body stands in a pose, as its joints tell: whether along an axis, and how well.
#pragma once

#include "base/rotation.h"
#include "io/body_plan.h"

#include <vector>

namespace aplomb::io {

/// Every joint in the world.
struct World {
    std::vector<Vec3> places;
    std::vector<Quat> turns;

    const Vec3& at(int joint) const { return places[static_cast<std::size_t>(joint)]; }
    bool is_finite() const;
};
World world_of(const std::vector<SkeletonJoint>& joints, const Pose& pose);

/// The unit vector of an aplomb_axis.
Vec3 direction_of(int axis);
/// The aplomb_axis nearest to a direction.
int nearest_axis(const Vec3& direction);

/// Directions are unit vectors, or zero where the joints tell none.
struct Attitude {
    Vec3 legs;           // from the feet to the hips (and shoulders), all legs together
    Vec3 trunk;          // from the hips to the head; zero for four feet, whose trunk lies
    Vec3 rise;           // from the legs to the rest of the body; not a unit vector
    double straight = 0; // how far the legs reach, as a part of their length
    bool four_feet = false;

    /// Legs and, on two feet, the trunk rise along the axis: a stand, a stride.
    bool stands(int axis) const;
    /// The axis along which it stands, or 0.
    int standing_axis() const;
    /// Nobody could stand like this: the legs lie, or have no length.
    bool is_no_stand(int up) const;
};
Attitude attitude_of(const BodyPlan& plan, const World& world);

/// Whether a body on two feet carries its trunk level at rest, with the tail behind as much as the trunk is ahead: a bird, a
/// lizard that runs on two legs.
bool trunk_lies(const BodyPlan& plan, const World& rest);

/// Which way the hips face, level and of unit length, with the first leg of a pair taken for the left one; zero where
/// there is no pair.
Vec3 facing_of(const BodyPlan& plan, const World& world, const Vec3& up);

/// Lower is better: how far from an upright stand on two even feet.
double unrest_of(const BodyPlan& plan, const World& world, int up);

} // namespace aplomb::io
