// SPDX-License-Identifier: MIT
// Many frames of a clip, read from a file.
#pragma once

#include <string>
#include <vector>

#include "cli/character.h"

namespace aplomb::cli {

struct Frames {
    int32_t clip = 0;
    std::string clip_name; // fit for a terminal
    int first = 0;         // what the first one is called
    int whole_count = 0;   // of the clip
    std::size_t joints = 0;
    std::vector<double> times;      // from the clip's start
    std::vector<double> file_times; // as the file has them
    std::vector<double> translations, rotations;
};

/// Evenly from the first key to the last, so many a second.
std::vector<double> evenly(const std::vector<double>& keys, const char* option, const std::string& rate);
/// Of a clip's moments, as the file has their times.
void read_poses(const Character& character, int32_t clip, const std::vector<double>& times,
                std::vector<double>& translations, std::vector<double>& rotations);
/// As --clip, --frames and --fps say.
Frames read_frames(const Character& character, const Arguments& arguments);
/// The same moments of the file that --keyed names.
Frames read_keyed(const Frames& frames, const Arguments& arguments);

} // namespace aplomb::cli
