// SPDX-License-Identifier: MIT
// The files of a disk, by paths in UTF-8: the one source that needs a file system. An existing file is replaced whole or
// left alone.
#pragma once

#include <string>
#include <string_view>

namespace aplomb::io {

std::string read_file(const std::string& path);

/// Writes beside `path`, flushes to the disk and renames.
void replace_file(const std::string& path, std::string_view bytes);

bool is_on_disk(const std::string& path);
/// Whether it is a device or a pipe.
bool is_endless(const std::string& path);

/// From the root of the disk, links followed where they exist; "" is the folder of the process.
std::string whole_path(const std::string& folder);
/// How `to` is named in the folder `from`, with slashes; empty where it is on another disk.
std::string path_between(const std::string& from, const std::string& to);

} // namespace aplomb::io
