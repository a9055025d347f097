// SPDX-License-Identifier: MIT
#include "io/beside.h"

#include "io/disk.h"
#include "io/fault.h"
#include "io/path.h"

namespace aplomb::io {

std::optional<std::string> Beside::found(const std::string& name) const {
    const void* bytes = nullptr;
    std::size_t size = 0;
    if (m_find == nullptr || m_find(m_user, name.c_str(), &bytes, &size) == 0) return std::nullopt;
    if (bytes == nullptr) return std::string();
    return std::string(static_cast<const char*>(bytes), size);
}

bool Beside::has(const std::string& name) const {
    return m_folder ? is_on_disk(within(*m_folder, name)) : found(name).has_value();
}

bool Beside::is_endless(const std::string& name) const {
    return m_folder && io::is_endless(within(*m_folder, name));
}

std::string Beside::read(const std::string& name) const {
    if (m_folder) return read_file(within(*m_folder, name));
    std::optional<std::string> bytes = found(name);
    if (!bytes)
        throw Fault{APLOMB_CANNOT_OPEN,
                    "'" + name +
                        (m_find == nullptr
                             ? "' is needed beside the file in memory, but there is no function that finds it"
                             : "' is needed beside the file in memory and was not found"),
                    "find"};
    return *bytes;
}

} // namespace aplomb::io
