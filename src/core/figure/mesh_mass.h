// SPDX-License-Identifier: MIT
// Segment masses from the skin of the description.
#pragma once

#include "figure/steps.h"

namespace aplomb {

/// Fills every joint's mass, centre and inertia and the figure's total where masses from the skin are asked
/// for, or where no table knows the body, and the skin is closed. *taken says whether; a remark tells why not.
aplomb_status take_skin_masses(Draft& draft, bool* taken, aplomb_error* error);

} // namespace aplomb
