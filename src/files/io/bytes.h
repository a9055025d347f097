// SPDX-License-Identifier: MIT
// Whole files in and out. An existing file is replaced whole or left alone.
#pragma once

#include "aplomb/files.h"

#include <filesystem>
#include <string>
#include <string_view>

namespace aplomb::io {

/// From a UTF-8 path of the C API, and back for messages.
std::filesystem::path to_path(std::string_view utf8);
std::string to_text(const std::filesystem::path& path);

std::string read_file(const std::filesystem::path& path);

/// Writes beside `path`, flushes to the disk and renames.
void replace_file(const std::filesystem::path& path, std::string_view bytes);

/// Gives finished bytes to a caller in memory.
void hand_over(std::string_view bytes, aplomb_take_file take, void* user);

bool is_utf8(std::string_view text);

} // namespace aplomb::io
