// SPDX-License-Identifier: MIT
// How a failure inside the library becomes the caller's aplomb_error.
#pragma once

#include "aplomb/aplomb.h"

namespace aplomb {

/// Fills `error` (may be null) and returns `status`. `format` is printf-like and names field, index and
/// value.
[[gnu::format(printf, 5, 6)]] aplomb_status fail(aplomb_error* error, aplomb_status status, const char* field,
                                                 int index, const char* format, ...);

} // namespace aplomb
