// SPDX-License-Identifier: MIT
// Puts changed joints into rows of a BVH file; every other byte stays.
#pragma once

#include "io/bvh_read.h"
#include "io/corrected_frames.h"

#include <map>
#include <string>

namespace aplomb::io {

/// The pose of a row, or of zero angles where `row` is null.
Pose bvh_pose(const BvhFile& file, const double* row);

/// `rows`: the new frames, by the row that each replaces.
std::string bvh_with_rows(const BvhFile& file, const std::map<std::size_t, const CorrectedFrame*>& rows);

} // namespace aplomb::io
