// SPDX-License-Identifier: MIT
// Memory for what lays out its arrays twice.
#pragma once

#include "base/block.h"

#include <cstddef>
#include <vector>

namespace room {

/// As long as it lives, `lay_out` has its arrays there.
inline std::vector<std::max_align_t> room_of(auto lay_out) {
    aplomb::Layout measure;
    lay_out(measure);
    std::vector<std::max_align_t> memory(measure.used() / sizeof(std::max_align_t) + 1);
    aplomb::Layout layout(memory.data());
    lay_out(layout);
    return memory;
}

} // namespace room
