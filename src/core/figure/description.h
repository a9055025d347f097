// SPDX-License-Identifier: MIT
// What a figure's description must fulfil before anything is built from it.
#pragma once

#include <cstddef>

#include "aplomb/aplomb.h"

namespace aplomb {

inline constexpr int32_t max_joints = 1024;

/// One sentence in `error` for the first thing that is wrong.
aplomb_status check_description(const aplomb_figure_desc& desc, aplomb_error* error);

} // namespace aplomb
