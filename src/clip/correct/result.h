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
