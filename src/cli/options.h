// SPDX-License-Identifier: MIT
// The library's table of options as the command line and its JSON have it.
#pragma once

#include <aplomb/aplomb.h>

#include <string>
#include <vector>

#include "json/json.h"

namespace aplomb::cli {

/// The line of a member of aplomb_options.
aplomb_option_info option_info(const std::string& name);

/// NAME=VALUE of each text, angles in degrees.
void set_options(const std::vector<std::string>& texts, aplomb_options& options);

/// All options by name, in the library's own units.
Json json_of_options(const aplomb_options& options);

} // namespace aplomb::cli
