// SPDX-License-Identifier: MIT
// The pose in which a skin was bound to its joints. A file without clips keeps its one pose in its nodes, and that
// pose says nothing about the figure's build; where the vertices are bound does.
#pragma once

#include "io/skin.h"

namespace aplomb::io {

/// `pose` is that of the nodes and `above` the turn of all nodes above joint 0. Joints without a bone keep their
/// place against their parent. Gives `pose` back where the skin is bound in it, where its bones are not turned and
/// evenly scaled frames, and where they bind a figure of another size (they are then not this skeleton's).
Pose bound_pose(const Skin& skin, const std::vector<SkeletonJoint>& joints, const Pose& pose,
                const Quat& above);

} // namespace aplomb::io
