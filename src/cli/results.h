// SPDX-License-Identifier: MIT
// Files that a command writes: all of them or none.
#pragma once

#include <string>
#include <vector>

#include "cli/character.h"
#include "cli/situation.h"

namespace aplomb::cli {

/// Refuses, before any work is done, names that could harm the animator's file or cannot be meant.
void check_targets(const Arguments& arguments);

/// What is written where; an empty path: not wanted.
struct Results {
    std::string out, picture, page;
    const double* translations = nullptr; // the corrected pose; NULL: none was made
    const double* rotations = nullptr;
    aplomb_picture drawing;

    bool draws() const { return !picture.empty() || !page.empty(); }
};
void write_results(const Character& character, const Moment& moment, const Results& results);

/// The file again, with a clip's frames `first` and on. `layer`: the name of a further clip that they go into; empty: the
/// clip itself.
void write_frames(const Character& character, int clip, int first, const std::vector<double>& translations,
                  const std::vector<double>& rotations, const std::string& path,
                  const std::string& layer = {});

void write_shot_page(const std::string& path, const aplomb_shot_page& shown);

/// A file that was written, by the option that asked for it: "out", "picture", "page".
struct Written {
    const char* what;
    std::string path;
};
std::vector<Written> written(const Arguments& arguments);
/// "Wrote box.svg", a line for each; empty without any.
std::string wrote_text(const Arguments& arguments);

/// The picture's figure, keyed pose and title. What it points to must outlive it.
aplomb_picture begin_picture(const Character& character, const Moment& moment, const Situation& situation,
                             const aplomb_reading& reading, const MomentArguments& arguments);

} // namespace aplomb::cli
