// SPDX-License-Identifier: MIT
// A page about a clip: what to look at first, drawings of moments, paths, plots and tables.
#pragma once

#include <string>

#include "aplomb/files.h"

namespace aplomb::report {

/// The page has been checked.
std::string shot_page(const aplomb_shot_page& page);

} // namespace aplomb::report
