// SPDX-License-Identifier: MIT
// Answers in words and pictures.
#pragma once

#include <string>

#include "worksheet/answer.h"

namespace aplomb::worksheet {

/// JSON of a correction: what it is in numbers, and the parts of its page.
std::string tell(const Character& character, const Answer& answer, double room, bool skin);
/// JSON of the file's moments as keyed, with what the sheet says is carried.
std::string tell_moments(const Character& character, const Json& sheet);
/// JSON of the sheet's clip in motion.
std::string tell_clip(const Character& character, const Json& sheet);
/// The picture, or the page, as the command makes it.
std::string drawn_file(const Character& character, const Answer& answer, bool page);

} // namespace aplomb::worksheet
