// SPDX-License-Identifier: MIT
// Parts of a path, as texts in UTF-8: no disk is asked.
#pragma once

#include <string>

namespace aplomb::io {

/// What separates the names of a path on the disk, besides '/'.
#if defined(_WIN32)
inline constexpr char separators[] = "/\\:";
#else
inline constexpr char separators[] = "/";
#endif

/// "hero.glb" of "in/hero.glb"
inline std::string file_name(const std::string& path) {
    return path.substr(path.find_last_of(separators) + 1); // npos + 1 is 0
}

/// "in" of "in/hero.glb"; empty where it names no folder.
inline std::string folder_of(const std::string& path) {
    const std::size_t at = path.find_last_of(separators);
    return at == std::string::npos ? "" : path.substr(0, at == 0 || path[at] == ':' ? at + 1 : at);
}

/// ".glb" of "in/hero.glb"; a name that starts with its only dot has none.
inline std::string extension(const std::string& path) {
    const std::string name = file_name(path);
    const std::size_t dot = name.rfind('.');
    return dot == std::string::npos || dot == 0 ? "" : name.substr(dot);
}

/// Whether the path starts at the root of a disk.
inline bool is_absolute(const std::string& path) {
    return path.find_first_of(separators) == 0 || (sizeof separators > 2 && path.substr(1, 1) == ":");
}

inline std::string within(const std::string& folder, const std::string& name) {
    if (folder.empty() || is_absolute(name)) return name;
    return folder.find_last_of(separators) + 1 == folder.size() ? folder + name : folder + '/' + name;
}

} // namespace aplomb::io
