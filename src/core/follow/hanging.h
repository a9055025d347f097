// SPDX-License-Identifier: MIT
// A load on a string: a point on a sphere by the midpoint rule, and free while the string is slack.
#pragma once

#include "aplomb/follow.h"
#include "base/vec.h"

namespace aplomb {

/// Checked input; `hand` in metres. With 0 seconds the state stays as it is.
aplomb_hanging_result move_hanging(const aplomb_hanging& hanging, aplomb_hanging_state& state, double seconds,
                                   const Vec3& hand);

} // namespace aplomb
