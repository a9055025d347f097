// SPDX-License-Identifier: MIT
// How tall a figure stands in its anatomical neutral, and where the ground is.
#pragma once

#include "figure/steps.h"

namespace aplomb {

/// Puts the hips at the height at which the lowest sole is on the ground (y = 0), and fills stature and
/// leg_length. Soles of the skin are found on the way. The joints' neutral must be known.
aplomb_status stand_on_ground(Draft& draft, aplomb_error* error);

/// Moves the hips and all that hangs on them up, without the root above them.
void shift_hips(Figure& figure, double up);

} // namespace aplomb
