// SPDX-License-Identifier: MIT
// The frames that a caller wants to have written: read from arrays, checked, compared with the file.
#pragma once

#include "io/character_file.h"

#include <vector>

namespace aplomb::io {

/// Which joints a frame changes, and in what.
struct Change {
    int joint = 0;
    bool translation = false;
    bool rotation = false;
};

/// A moment of a clip with the pose that it is to have; `changes`: in what it differs from the file.
struct CorrectedFrame {
    double seconds = 0;
    Pose pose;
    std::vector<Change> changes;
    int index = 0; // in the caller's list, for messages
};

/// A pose from 3 and 4 numbers per joint. `where` stands in messages, such as " of frame 3", or is empty.
Pose read_pose(const CharacterFile& file, const double* translations, const double* rotations,
               const std::string& where);

/// All poses must be good before anything is compared. `frames`: its struct_size is not looked at.
std::vector<CorrectedFrame> read_frames(const CharacterFile& file, const aplomb_corrected_frames& frames);

/// Refuses `a` and `b`, which would be one frame of the file.
[[noreturn]] void refuse_same_moment(const CorrectedFrame& a, const CorrectedFrame& b);

} // namespace aplomb::io
