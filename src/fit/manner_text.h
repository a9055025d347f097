// SPDX-License-Identifier: MIT
// A manner in words.
#pragma once

#include <string>

#include "fit/learn.h"

namespace aplomb::fit {

/// "hips", ...; "unknown".
const char* part_text(int part);

std::string explained(const Manner& manner);

} // namespace aplomb::fit
