// SPDX-License-Identifier: MIT
// What lies beside a character file: files of a folder, or what the caller of a file in memory finds.
#pragma once

#include "aplomb/files.h"

#include <optional>
#include <string>

namespace aplomb::io {

class Beside {
public:
    /// A folder of the disk; "" is the folder of the process.
    Beside(std::string folder) : m_folder(std::move(folder)) {}
    Beside(const char* folder) : m_folder(folder) {}
    /// In memory. `find` may be null: nothing lies beside.
    Beside(aplomb_find_file find, void* user) : m_find(find), m_user(user) {}

    /// There is none in memory.
    const std::optional<std::string>& folder() const { return m_folder; }
    bool has(const std::string& name) const;
    /// Whether it is a device or a pipe, whose bytes may never end.
    bool is_endless(const std::string& name) const;
    std::string read(const std::string& name) const;

private:
    std::optional<std::string> found(const std::string& name) const;

    std::optional<std::string> m_folder;
    aplomb_find_file m_find = nullptr;
    void* m_user = nullptr;
};

} // namespace aplomb::io
