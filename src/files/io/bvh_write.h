// SPDX-License-Identifier: MIT
// Puts changed joints into one row of a BVH file; every other byte stays.
#pragma once

#include "io/bvh_read.h"

#include <string>

namespace aplomb::io {

/// The pose of a row, or of zero angles where `row` is null.
Pose bvh_pose(const BvhFile& file, const double* row);

std::string bvh_with_pose(const BvhFile& file, std::size_t frame, const Pose& pose,
                          const std::vector<Change>& changes);

} // namespace aplomb::io
