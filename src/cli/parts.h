// SPDX-License-Identifier: MIT
// Parts other than feet and hands that can bear: a seat, a knee, an elbow, or what is under any joint.
#pragma once

#include <array>
#include <optional>
#include <string>

#include "cli/character.h"

namespace aplomb::cli {

/// "left-knee", "seat"; the limb's word, or the joint's name, where it has no other.
std::string part_word(const Character& character, int32_t limb, int32_t joint);

/// The joint that a word for a part means, -1 where it means none.
int32_t find_part(const Character& character, const std::string& word);

/// Where a part touches: four points, level, in the joint's own frame, host units.
struct Patch {
    std::array<double, 12> points;
    const char* found; // in words: "by its skin"
};

/// Under the part, at the lowest skin that is there, or by proportion; or so many metres under the joint, as given.
Patch find_patch(const Character& character, const Moment& moment, int32_t joint,
                 std::optional<double> below);

} // namespace aplomb::cli
