// SPDX-License-Identifier: MIT
// What the skin of a figure's description must fulfil.
#pragma once

#include "aplomb/aplomb.h"

namespace aplomb {

/// One sentence in `error` for the first thing that is wrong. The joints and the unit must be checked already.
aplomb_status check_skin(const aplomb_figure_desc& desc, aplomb_error* error);

} // namespace aplomb
