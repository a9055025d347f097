// SPDX-License-Identifier: MIT
// A load as one word: MASS,PLACE[,WAY=METRES...], such as 8kg,right-hand,hang=0.35.
#pragma once

#include <limits>
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
    std::string place, text; // as they were written
    // With --frames.
    std::string frames;                       // in which it is carried; empty: in all
    double pick_up = usual, put_down = usual; // seconds
    double drop = 0; // metres that it falls before it is caught; of aplomb follow alone

    static constexpr double usual = std::numeric_limits<double>::quiet_NaN(); // by its mass
    bool over_time() const { return !frames.empty() || pick_up >= 0 || put_down >= 0; }
};

Load parse_load(const Character& character, const std::string& text);
std::vector<Load> parse_loads(const Character& character, const std::vector<std::string>& texts);
/// Says of a load on the trunk whose middle lies within it what would stand it against the back.
void warn_of_loads_in_trunk(const Character& character, const std::vector<Load>& loads);

} // namespace aplomb::cli
