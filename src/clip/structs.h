// SPDX-License-Identifier: MIT
// Structs of aplomb/clip.h that may grow: a caller compiled against an older header passes a shorter one.
#pragma once

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <cstring>

namespace aplomb {

template<class T>
void init(T* target, size_t size, T defaults) {
    if (!target) return;
    defaults.struct_size = static_cast<uint32_t>(size);
    std::memset(static_cast<void*>(target), 0, size);
    std::memcpy(static_cast<void*>(target), &defaults, std::min(size, sizeof(T)));
}

} // namespace aplomb
