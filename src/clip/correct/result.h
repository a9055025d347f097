// SPDX-License-Identifier: MIT
// What a corrected clip comes with.
#pragma once

#include "aplomb/clip.h"
#include "clip/owned.h"

/// All arrays lie in the same block of memory.
struct aplomb_clip_balance_result {
    aplomb_allocator allocator{};
    size_t block_size = 0;
    int32_t frame_count = 0, range_count = 0, arc_count = 0;
    aplomb_clip_balanced* frames = nullptr;
    aplomb_clip_range* ranges = nullptr;
    aplomb_arc* arcs = nullptr;
};

namespace aplomb {

/// With room for these many; the rest of it is zero.
inline aplomb_status make_correction(const aplomb_allocator& allocator, int frames, int ranges, int arcs,
                                     aplomb_clip_balance_result*& made, aplomb_error* error) {
    const auto arrange = [&](Layout& layout, aplomb_clip_balance_result& to) {
        to.frames = layout.take<aplomb_clip_balanced>(static_cast<size_t>(frames));
        to.ranges = layout.take<aplomb_clip_range>(static_cast<size_t>(ranges));
        to.arcs = layout.take<aplomb_arc>(static_cast<size_t>(arcs));
    };
    if (const auto s = make_owned(allocator, "corrections", arrange, made, error)) return s;
    made->frame_count = frames, made->range_count = ranges, made->arc_count = arcs;
    return APLOMB_OK;
}

} // namespace aplomb
