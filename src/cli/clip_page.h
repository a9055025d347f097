// SPDX-License-Identifier: MIT
// The page of a clip: which of its moments are drawn.
#pragma once

#include <string>

#include "cli/clip_text.h"
#include "cli/situation.h"

namespace aplomb::cli {

void write_clip_page(const Shot& shot, const Moment& moment, const Options& options, const std::string& title,
                     const std::string& path);

} // namespace aplomb::cli
