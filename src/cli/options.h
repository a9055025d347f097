// SPDX-License-Identifier: MIT
// The library's table of options as the command line and its JSON have it.
#pragma once

#include <aplomb/aplomb.h>

#include <string>
#include <vector>

#include "cli/arguments.h"
#include "json/json.h"

namespace aplomb::cli {

bool has_option(const std::string& name);
/// "8%", "1": the default of a member of aplomb_options, and "0% to 200%": what is allowed.
std::string usual_text(const std::string& name);
std::string range_text(const std::string& name);

/// NAME=VALUE.
GivenOption split_option(const std::string& text);
/// Each at most once; angles in degrees, parts also in per cent.
void set_options(const std::vector<GivenOption>& given, aplomb_options& options);

/// All options by name, in the library's own units.
Json json_of_options(const aplomb_options& options);

} // namespace aplomb::cli
