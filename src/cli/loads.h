// SPDX-License-Identifier: MIT
// A load as one word: MASS,PLACE[,WAY=METRES...], such as 8kg,right-hand,hang=0.35.
#pragma once

#include <string>
#include <vector>

#include "cli/character.h"

namespace aplomb::cli {

struct Load {
    aplomb_load value;
    std::string place; // as it was written
};

Load parse_load(const Character& character, const std::string& text);
std::vector<Load> parse_loads(const Character& character, const std::vector<std::string>& texts);

} // namespace aplomb::cli
