// SPDX-License-Identifier: MIT
// What lies beside a character file: files of a folder, or what the caller of a file in memory finds.
#pragma once

#include "aplomb/files.h"

#include <filesystem>
#include <optional>
#include <string>

namespace aplomb::io {

class Beside {
public:
    /// A folder of the disk; "" is that of the process.
    Beside(std::filesystem::path folder) : m_folder(std::move(folder)) {}
    Beside(const char* folder) : m_folder(folder) {}
    /// In memory. `find` may be null: nothing lies beside.
    Beside(aplomb_find_file find, void* user) : m_find(find), m_user(user) {}

    /// None in memory.
    const std::optional<std::filesystem::path>& folder() const { return m_folder; }
    bool has(const std::filesystem::path& name) const;
    /// A device or a pipe may never end.
    bool is_endless(const std::filesystem::path& name) const;
    std::string read(const std::filesystem::path& name) const;

private:
    std::optional<std::string> found(const std::filesystem::path& name) const;

    std::optional<std::filesystem::path> m_folder;
    aplomb_find_file m_find = nullptr;
    void* m_user = nullptr;
};

} // namespace aplomb::io
