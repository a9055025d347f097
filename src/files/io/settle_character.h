// SPDX-License-Identifier: MIT
// From a file to a character: what the caller asks for beats the figure description beside the file, which beats what
// the file itself shows.
#pragma once

#include "io/beside.h"
#include "io/character.h"

#include <string>

namespace aplomb::io {

/// A character file that is about to be opened.
struct Source {
    std::string bytes;
    Beside beside;           // what its URIs name
    Beside description_in;   // what a figure description's name is looked for in
    std::string description; // its usual name; empty: none
};

/// The caller's over the defaults, checked; NULL: the defaults.
aplomb_character_options read_character_options(const aplomb_character_options* given);

void settle_character(Source source, const aplomb_character_options& options, aplomb_character& character);

} // namespace aplomb::io
