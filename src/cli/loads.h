// SPDX-License-Identifier: MIT
// A load as one word: MASS,PLACE[,WAY=METRES...], such as 8kg,right-hand,hang=0.35.
#pragma once

#include <string>
#include <vector>

#include "cli/character.h"

namespace aplomb::cli {

/// Where a way leads: an axis of (left, up, forward) and a sign.
struct Way {
    const char* name;
    int axis;
    double sign;
};
/// NULL for a word that is none.
const Way* find_way(const std::string& name);

/// aplomb_load_at with a Failure that begins with `where`.
aplomb_load load_at(const Character& character, const std::string& where, double mass,
                    const std::string& place);

struct Load {
    aplomb_load value;
    std::string place; // as it was written
};

Load parse_load(const Character& character, const std::string& text);
std::vector<Load> parse_loads(const Character& character, const std::vector<std::string>& texts);

} // namespace aplomb::cli
