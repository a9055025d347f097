// SPDX-License-Identifier: MIT
// Which joints of a figure swing together, and with which numbers if nobody says otherwise.
#pragma once

#include "aplomb/follow.h"
#include "figure/figure.h"

namespace aplomb {

const char* chain_text(int32_t kind);
aplomb_chain make_chain(int32_t kind, int32_t first, int32_t last);
/// Returns how many there are; writes the first `capacity`.
int32_t find_chains(const Figure& figure, aplomb_chain* chains, int32_t capacity);

/// True where `last` is `first` or hangs below it.
bool hangs_below(const Figure& figure, int32_t first, int32_t last);

} // namespace aplomb
