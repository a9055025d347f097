// SPDX-License-Identifier: MIT
// What callers hand over: structs that may grow, as one compiled against an older header passes a shorter one, and an
// allocator.
#pragma once

#include <cstring>

#include "base/error.h"

namespace aplomb {

/// Sets up `size` bytes of the caller's: zero where this library knows no member.
template<class T>
void init_struct(T* target, size_t size, T defaults) {
    if (!target) return;
    defaults.struct_size = static_cast<uint32_t>(size);
    std::memset(static_cast<void*>(target), 0, size);
    std::memcpy(static_cast<void*>(target), &defaults, size < sizeof(T) ? size : sizeof(T));
}

/// `name` is the argument's.
template<class T>
aplomb_status check_struct(const T* given, const char* name, aplomb_error* error) {
    if (!given) return fail(error, APLOMB_BAD_ARGUMENT, name, -1, "%s is NULL.", name);
    if (given->struct_size >= sizeof(uint32_t) && given->struct_size <= sizeof(T)) return APLOMB_OK;
    return fail(error, APLOMB_WRONG_VERSION, name, -1,
                "%s: struct_size is %u; this library knows up to %zu. Set it up with its _init function.",
                name, given->struct_size, sizeof(T));
}

/// The caller's struct over the defaults. Only after check_struct.
template<class T>
T read_struct(const T* given, T defaults) {
    std::memcpy(static_cast<void*>(&defaults), given, given->struct_size);
    return defaults;
}

/// NULL is allowed.
inline aplomb_status check_allocator(const aplomb_allocator* allocator, aplomb_error* error) {
    if (!allocator || (allocator->allocate && allocator->deallocate)) return APLOMB_OK;
    return fail(error, APLOMB_BAD_ARGUMENT, "allocator", -1, "allocator lacks allocate or deallocate.");
}

/// As much of `full` as the caller's struct holds. Only after check_struct.
template<class T>
void write_struct(T* target, T full) {
    full.struct_size = target->struct_size;
    std::memcpy(static_cast<void*>(target), &full, target->struct_size);
}

} // namespace aplomb
