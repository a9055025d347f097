// SPDX-License-Identifier: MIT
// How tall the skin is.
#pragma once

#include "figure/steps.h"

namespace aplomb {

/// The highest point of the head's skin in the neutral, with hips and limbs where they are by then; without a head the
/// highest point of the trunk's skin. False where there is no such skin.
bool find_mesh_crown(const Draft& draft, double* crown);

} // namespace aplomb
