// SPDX-License-Identifier: MIT
#include "io/beside.h"

#include "io/bytes.h"
#include "io/fault.h"

namespace aplomb::io {

std::optional<std::string> Beside::found(const std::filesystem::path& name) const {
    const void* bytes = nullptr;
    std::size_t size = 0;
    if (m_find == nullptr || m_find(m_user, to_text(name).c_str(), &bytes, &size) == 0) return std::nullopt;
    if (bytes == nullptr) return std::string();
    return std::string(static_cast<const char*>(bytes), size);
}

bool Beside::has(const std::filesystem::path& name) const {
    std::error_code ignored;
    return m_folder ? std::filesystem::exists(*m_folder / name, ignored) : found(name).has_value();
}

bool Beside::is_endless(const std::filesystem::path& name) const {
    std::error_code ignored;
    return m_folder && std::filesystem::is_other(*m_folder / name, ignored);
}

std::string Beside::read(const std::filesystem::path& name) const {
    if (m_folder) return read_file(*m_folder / name);
    std::optional<std::string> bytes = found(name);
    if (!bytes)
        throw Fault{APLOMB_CANNOT_OPEN,
                    "'" + to_text(name) +
                        (m_find == nullptr
                             ? "' is needed beside the file in memory, but there is no function that finds it"
                             : "' is needed beside the file in memory and was not found"),
                    "find"};
    return *bytes;
}

} // namespace aplomb::io
