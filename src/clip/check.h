// SPDX-License-Identifier: MIT
// A clip as it comes in. Poses are checked frame by frame when they are read.
#pragma once

#include <cstring>

#include "base/error.h"
#include "clip/track.h"

namespace aplomb {

/// What a caller of an older version set up, with today's defaults behind it.
template<class T>
aplomb_status take(const T* given, const char* name, T& whole, aplomb_error* error) {
    if (given->struct_size < sizeof(uint32_t) || given->struct_size > sizeof(T))
        return fail(error, APLOMB_WRONG_VERSION, name, -1,
                    "%s: struct_size is %u; this library knows up to %zu. Set it up with its _init function.",
                    name, given->struct_size, sizeof(T));
    std::memcpy(static_cast<void*>(&whole), given, given->struct_size);
    return APLOMB_OK;
}

/// A clip as it was given, whole and checked; a figure, too.
aplomb_status take_clip(const aplomb_figure* figure, const aplomb_clip* clip, aplomb_clip& whole,
                        aplomb_error* error);
aplomb_status check_allocator(const aplomb_allocator* allocator, aplomb_error* error);
aplomb_status check_clip(const aplomb_figure& figure, const aplomb_clip& clip, aplomb_error* error);

/// The part of a carried load's weight that the body bears in a frame: 0 outside its range.
double carried_part(const Shot& shot, const aplomb_carry& carry, int frame);

} // namespace aplomb
