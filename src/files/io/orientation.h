// SPDX-License-Identifier: MIT
// How a character file is to be understood: which axis is up, which way the figure faces, and the pose that it is
// measured in. What the caller gives stands; a file's standard holds unless the character itself says otherwise;
// where the rest pose and the motion disagree about up, the motion tells.
#pragma once

#include "io/character_file.h"
#include "io/description.h"

#include <string>
#include <vector>

namespace aplomb::io {

/// A choice, where it comes from (aplomb_source), and why in words.
struct Found {
    int value = 0;
    int source = APLOMB_SOURCE_ASSUMED;
    std::string why;
};

struct Orientation {
    Found up, forward; // aplomb_axis
    Found stand;       // the clip of the frame that the figure is measured in; -1: the rest pose
    double stand_seconds = 0;
    Pose pose;              // that frame or the rest pose, turned as needed
    std::vector<int> sides; // aplomb_side per joint, where the names' sides are those of a mirror; else empty
    std::vector<std::string> remarks;
};

/// `given`: the axes, stand, roles and sides of the caller and of the figure description; 0 or empty where they leave
/// the choice.
Orientation find_orientation(const CharacterFile& file, const Description& given);

} // namespace aplomb::io
