// SPDX-License-Identifier: MIT
// A pull as one word: FORCE,PLACE,WAY[=PART][,...], such as 150N,right-hand,behind or 80N,hands,forward,up=0.2.
#pragma once

#include <string>
#include <vector>

#include "cli/character.h"

namespace aplomb::cli {

struct GivenPull {
    double newtons = 0;
    std::string place, way;         // as they were written; the way in words: "forward and up=0.2"
    std::vector<aplomb_pull> value; // one for each joint that is pulled
};

std::vector<GivenPull> parse_pulls(const Character& character, const Moment& moment,
                                   const std::vector<std::string>& texts);
/// "150 N at right-hand, behind".
std::string pull_text(const GivenPull& pull);

} // namespace aplomb::cli
