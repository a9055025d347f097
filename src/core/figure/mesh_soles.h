// SPDX-License-Identifier: MIT
// Soles from the skin of the description.
#pragma once

#include "figure/steps.h"

namespace aplomb {

/// Sole points of every foot whose skin gives a plausible one, level at the foot's lowest point; a remark for
/// the others. The joints' neutral must be known, but for the height of the hips. `stature`: as for
/// measure_foot.
aplomb_status find_mesh_soles(Draft& draft, double stature, aplomb_error* error);

} // namespace aplomb
