// SPDX-License-Identifier: MIT
// How tall the skin is.
#pragma once

#include "figure/steps.h"

namespace aplomb {

/// The highest point of the head's skin in the neutral, where hips and limbs have it at the time; without a head
/// that of the trunk's. False where there is no such skin.
bool find_mesh_crown(const Draft& draft, double* crown);

} // namespace aplomb
