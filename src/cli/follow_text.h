// SPDX-License-Identifier: MIT
// What 'aplomb follow' prints.
#pragma once

#include <string>

#include "cli/followed.h"

namespace aplomb::cli {

std::string follow_text_of(const Character& character, const Followed& f, const Arguments& arguments);
std::string follow_csv_of(const Character& character, const Followed& f);
std::string follow_json_of(const Character& character, const Followed& f, const Arguments& arguments);

} // namespace aplomb::cli
