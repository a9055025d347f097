// SPDX-License-Identifier: MIT
// The words for roles and sides, as they appear in messages, remarks and cues.
#pragma once

#include "aplomb/aplomb.h"

namespace aplomb {

const char* role_text(aplomb_role role);
const char* side_text(aplomb_side side);

} // namespace aplomb
