// SPDX-License-Identifier: MIT
// An opened character: its file, what was settled about it, and the figure made of it.
#pragma once

#include "io/character_file.h"
#include "io/description.h"
#include "io/figure_from_file.h"
#include "io/orientation.h"

#include <memory>
#include <string>
#include <vector>

namespace aplomb::io {

struct GivenStance {
    int32_t clip;
    aplomb_stance_range range;
};

} // namespace aplomb::io

struct aplomb_character {
    std::string path;      // of a file in memory its name, which may be empty
    std::string extension; // lower case, that of the file's kind
    std::unique_ptr<aplomb::io::CharacterFile> file;
    std::vector<std::string> names;
    aplomb::io::Description description; // the one that the figure was made from
    aplomb::io::Orientation orientation;
    aplomb::io::Found unit; // value unused: it is in the description
    std::vector<std::string> remarks;
    aplomb::io::FigurePointer figure;
    std::vector<aplomb::io::GivenStance> stances; // of the description
};

namespace aplomb::io {

/// Refuses what is no character, or has no such clip: -1 is the pose of the nodes.
void check_clip(const aplomb_character* character, int32_t clip, double seconds);

void put_translations(const Pose& pose, double* out);
void put_rotations(const Pose& pose, double* out);

} // namespace aplomb::io
