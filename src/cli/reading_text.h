// SPDX-License-Identifier: MIT
// A reading in words.
#pragma once

#include <string>

#include "cli/character.h"
#include "cli/situation.h"

namespace aplomb::cli {

/// "1.75 m, 75.0 kg, carrying 20.0 kg (hands)".
std::string figure_line(const Character& character, const Situation& situation);
/// "in balance, 6.1 cm inside the support area (2.1 cm asked for)".
std::string verdict(const Character& character, const Moment& moment, const Situation& situation,
                    const aplomb_reading& reading);
/// What stands, tips and leans.
std::string standing_text(const Character& character, const Moment& moment, const Situation& situation,
                          const aplomb_reading& reading);
/// What each load reads as; empty without loads.
std::string loads_text(const Situation& situation, const aplomb_reading& reading);
/// Under a heading that marks them all; empty without cues.
std::string cues_text(const char* heading, const aplomb_reading& reading);

/// ": the first of 12 clips, as --clip names none", or nothing.
std::string choice_line(const Moment& moment);

} // namespace aplomb::cli
