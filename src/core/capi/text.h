// SPDX-License-Identifier: MIT
// Sentences for the caller's room.
#pragma once

#include <cstdarg>
#include <cstdio>

namespace aplomb {

/// snprintf that appends to what is there, and goes on counting past the end of the room.
struct Text {
    char* out;
    size_t room;
    int used = 0;

    [[gnu::format(printf, 2, 3)]] void add(const char* format, ...) {
        va_list arguments;
        va_start(arguments, format);
        const size_t at = static_cast<size_t>(used);
        used += vsnprintf(at < room ? out + at : nullptr, at < room ? room - at : 0, format, arguments);
        va_end(arguments);
    }
};

} // namespace aplomb
