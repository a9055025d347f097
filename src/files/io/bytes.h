// SPDX-License-Identifier: MIT
// Whole files in memory.
#pragma once

#include "aplomb/files.h"

#include <string_view>

namespace aplomb::io {

/// Gives finished bytes to a caller in memory.
void hand_over(std::string_view bytes, aplomb_take_file take, void* user);

bool is_utf8(std::string_view text);

} // namespace aplomb::io
