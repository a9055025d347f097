// SPDX-License-Identifier: MIT
// Structs of aplomb/clip.h that may grow: a caller compiled against an older header passes a shorter one.
#pragma once

#include <algorithm>
#include <cstring>

#include "base/error.h"

namespace aplomb {

template<class T>
void init(T* target, size_t size, T defaults) {
    if (!target) return;
    defaults.struct_size = static_cast<uint32_t>(size);
    std::memset(static_cast<void*>(target), 0, size);
    std::memcpy(static_cast<void*>(target), &defaults, std::min(size, sizeof(T)));
}

template<class T>
aplomb_status take(const T* given, const char* name, T& whole, aplomb_error* error) {
    if (given->struct_size < sizeof(uint32_t) || given->struct_size > sizeof(T))
        return fail(error, APLOMB_WRONG_VERSION, name, -1,
                    "%s: struct_size is %u; this library knows up to %zu. Set it up with its _init function.",
                    name, given->struct_size, sizeof(T));
    std::memcpy(static_cast<void*>(&whole), given, given->struct_size);
    return APLOMB_OK;
}

} // namespace aplomb
