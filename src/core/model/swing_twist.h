// SPDX-License-Identifier: MIT
// A ball joint's rotation as two swing components and the twist about its bone, which hangs along -y in the
// anatomical neutral: q = swing * twist, swing = exp(x, 0, z), twist = exp(0, y, 0).
#pragma once

#include "figure/figure.h"

namespace aplomb {

/// (swing about left, twist about the bone, swing about forward), radians.
Vec3 swing_twist(const Quat& q);
/// One of them.
double swing_twist_component(const Quat& q, int component);
/// How it grows with a turn of q about each axis of the outer frame.
Vec3 swing_twist_gradient(const Quat& q, int component);
/// The rotation with these components.
Quat from_swing_twist(const Vec3& components);
/// Largest swing (cosine of half of it) that is still measured: at the antipode its axis is undefined.
inline constexpr double least_half_swing_cosine = 0.13; // 165 degrees
double half_swing_cosine(const Quat& q);

/// The rotation nearest to `turn` that the limits allow; what the keyed rotation exceeds stays allowed.
Quat within(const Quat& turn, const Quat& keyed, const Limits& limits);

} // namespace aplomb
