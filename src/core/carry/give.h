// SPDX-License-Identifier: MIT
// How far knees yield under a load, as a formula that targets and readings share. Common practice, its numbers by eye.
#pragma once

#include "moment/key.h"

namespace aplomb {

inline constexpr double usual_sink = 42 * degree;

/// r is load over body: most r / (1 + r/3) r^2 / (r^2 + .05^2), a half of it for what hangs low; radians.
double sink_under(double r, double most, double height_weight);
/// 1/2 for what hangs low, 1 for what is carried at the hips and above, by mass.
double height_weight(const Figure& figure, const Key& key);
/// The part of `sink` that a knee keyed at this smoothed bend yields: only what the key lacks.
double part_of_sink(double sink, double keyed);

} // namespace aplomb
