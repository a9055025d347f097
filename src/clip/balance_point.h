// SPDX-License-Identifier: MIT
// Where weight and motion press on the ground. Clips have the formula in the first function alone.
#pragma once

#include "base/vec.h"

namespace aplomb {

/// A body, or a thing that it carries, at one moment.
struct Moving {
    double mass = 0;
    Vec3 centre, acceleration;
    Vec3 momentum_rate; // of its angular momentum about its own centre
};

/// The balance point in motion less the still one, on the plane through `origin`:
///     p = o + n x tau / (n.F),  F = sum m (g - a),  tau = sum (x - o) x m (g - a) - dL/dt
/// (M. Vukobratovic's zero-moment point). Exactly zero where nothing accelerates; false where the bodies do not press
/// on the ground.
bool motion_shift(const Moving* bodies, int count, const Vec3& origin, const Vec3& normal,
                  const Vec3& gravity, Vec3& shift);

/// Extrapolated centre of mass, on the ground under `centre`: A. Hof, M. Gazendam and W. Sinke, J. Biomech. 38, 2005,
/// x + v / sqrt(g / l), l the height of the centre over the ground.
Vec3 extrapolated(const Vec3& under, const Vec3& velocity, double height, double gravity);

/// How far a point lies inside a convex outline, along the ground; negative: outside.
double inside(const Vec3* corners, int count, const Vec3& normal, const Vec3& point);

} // namespace aplomb
