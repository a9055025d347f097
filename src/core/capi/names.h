// SPDX-License-Identifier: MIT
// Plain names for the limits that hold a correction back.
#pragma once

#include "balance/balance.h"

namespace aplomb {

/// Such as "the left knee, straight" or "the spine at chest, bent as far as it goes".
void name_hold_back(const Figure& figure, const Correction::HoldBack& by, char* text, size_t size);

/// "hand", "fore foot", "foot"
const char* end_word(aplomb_limb_kind kind);

} // namespace aplomb
