// SPDX-License-Identifier: MIT
// Rotations as angles about listed axes, each in the frame that the earlier ones made: R = R1 R2 R3.
// Formulas: K. Shoemake, "Euler angle conversion", in Graphics Gems IV, 1994.
#pragma once

#include "base/rotation.h"

#include <array>

namespace aplomb::io {

Quat axis_turn(int axis, double angle);

/// Angles about three different axes, in the listed order, that give `q`: of the equal triples the one
/// nearest to `near`. Where the middle angle is a quarter turn the first stays as in `near`.
std::array<double, 3> euler_angles(const Quat& q, const std::array<int, 3>& axes,
                                   const std::array<double, 3>& near);

} // namespace aplomb::io
