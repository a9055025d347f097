// SPDX-License-Identifier: MIT
// How the feet of a body lie when they are flat on the ground, as its motion shows it, and a pose with its feet so.
#pragma once

#include "io/attitude.h"
#include "io/facing.h"

#include <vector>

namespace aplomb::io {

/// Angles up from level of the foot and of its toes.
struct FootSlope {
    double foot = 0, toes = 0;
};

/// Per leg, from the frame in which an ankle of its kind is lowest: on tiptoe, lifted or in the air it is higher. Only
/// frames that stand along `up` count; empty where none does.
std::vector<FootSlope> flat_slopes(const BodyPlan& plan, const std::vector<SkeletonJoint>& joints,
                                   const std::vector<Sample>& samples, int up);

/// How far the feet of a frame are from lying flat, squared and summed.
double unevenness(const BodyPlan& plan, const std::vector<SkeletonJoint>& joints, const World& world,
                  const std::vector<FootSlope>& flat, int up);

/// Turns feet and toes about their sideways axes until they lie flat. `facing`: level, of unit length.
void put_feet_flat(const BodyPlan& plan, const std::vector<SkeletonJoint>& joints,
                   const std::vector<FootSlope>& flat, int up, const Vec3& facing, Pose& pose);

} // namespace aplomb::io
