// SPDX-License-Identifier: MIT
// The same results for programs. Lengths and points are in the file's own unit and axes, angles in radians;
// what is not known, and an open end of a range, is null. Translations and rotations (x, y, z, w) of joints are
// relative to the parent joint.
#pragma once

#include <string>

#include "cli/correction.h"
#include "cli/results.h"
#include "cli/situation.h"

namespace aplomb::cli {

std::string json_of_figure(const Character& character);
std::string json_of_reading(const Character& character, const Moment& moment, const Situation& situation,
                            const aplomb_reading& reading, const std::vector<Written>& files);
std::string json_of_correction(const Character& character, const Moment& moment, const Situation& situation,
                               const Correction& made, const std::vector<Written>& files);

} // namespace aplomb::cli
