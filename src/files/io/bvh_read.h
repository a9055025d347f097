// SPDX-License-Identifier: MIT
// BVH (Biovision Hierarchy): joints with offsets and channels, then one row of numbers per frame. There is no
// standard; this follows M. Meredith and S. Maddock, "Motion Capture File Formats Explained", 2001, and takes
// what files in use do: any channels in any order, mixed line ends, tabs, a missing End Site.
#pragma once

#include "io/character_file.h"

#include <cstddef>
#include <string>
#include <vector>

namespace aplomb::io {

struct BvhChannel {
    bool rotation = false;
    int axis = 0; // 0 X, 1 Y, 2 Z
};

struct BvhJoint {
    std::string name;
    int parent = -1;
    Vec3 offset;
    Vec3 tip = {unknown, unknown, unknown}; // its End Site
    std::size_t first_channel = 0;          // in a row
    std::vector<BvhChannel> channels;
    bool place_holds_offset = false; // position channels replace the offset rather than add to it
};

/// Where a number stands in the file.
struct BvhToken {
    std::size_t offset = 0;
    std::size_t length = 0;
};

struct BvhFile {
    std::string bytes;
    std::vector<BvhJoint> joints;
    std::size_t channel_count = 0;
    std::size_t frame_count = 0;
    double frame_time = 0;
    std::vector<double> values;   // row by row
    std::vector<BvhToken> tokens; // one per value

    const double* row(std::size_t frame) const { return &values[frame * channel_count]; }
};

BvhFile read_bvh(std::string bytes);

} // namespace aplomb::io
