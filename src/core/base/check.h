// SPDX-License-Identifier: MIT
// Checks at the border that descriptions and poses have in common. Each names field, index and value.
#pragma once

#include "aplomb/aplomb.h"

namespace aplomb {

/// The array to be checked: `width` numbers for each of `count` items.
struct Numbers {
    const char* field;
    const char* item; // what one item is, such as "joint"
    const double* values;
    int width, count;
    const char* const* names; // of the items, or null; entries may be null
    int first = 0;            // what the caller calls the first item
};

/// Finite, and no further from zero than `largest`, past which products would overflow.
aplomb_status check_finite(const Numbers& numbers, double largest, aplomb_status status, aplomb_error* error);
/// Finite quaternions whose length is 1 within the tolerance of the header.
aplomb_status check_rotations(const Numbers& numbers, aplomb_status status, aplomb_error* error);

/// Far beyond any scene (a million kilometres), far below overflow of a square.
inline constexpr double largest_length = 1e9;

} // namespace aplomb
