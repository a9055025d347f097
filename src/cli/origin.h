// SPDX-License-Identifier: MIT
// Where a number came from, as a word.
#pragma once

#include "aplomb/aplomb.h"

namespace aplomb::cli {

inline const char* origin_text(int32_t origin) {
    switch (origin) {
    case APLOMB_ORIGIN_GIVEN:
        return "given";
    case APLOMB_ORIGIN_PUBLISHED:
        return "published";
    case APLOMB_ORIGIN_FROM_MEMORY:
        return "from memory";
    default:
        return "from the shape";
    }
}

} // namespace aplomb::cli
