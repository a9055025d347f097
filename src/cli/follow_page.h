// SPDX-License-Identifier: MIT
// The page of 'aplomb follow': the moving picture and eight moments of it.
#pragma once

#include "cli/followed.h"

namespace aplomb::cli {

void write_follow_page(const Character& character, const Followed& f, const Arguments& arguments);

} // namespace aplomb::cli
