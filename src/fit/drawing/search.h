// SPDX-License-Identifier: MIT
// A picture has no depth: each span of a limb comes forward or goes back. Trunks are fitted from all sides first; for each,
// both ways of every span follow in closed form from its length. The likeliest combinations are refined, and those that are
// alike count as one answer.
#pragma once

#include <vector>

#include "fit/drawing/problem.h"

namespace aplomb::drawing {

/// Sets the task's first guesses of scale, place and flat feet.
void guess(Task& task);

/// At most `keep` answers, the one with the least cost first. Where no start comes near the dots, the best of them alone, as it
/// stands after a few iterations.
std::vector<Found> search(const Task& task, int keep);
/// The least cost that a few starts find after a few iterations: at least what `search` finds, in a tenth of its time.
double glance(const Task& task);

/// How far an answer's span points at the viewer, of its length; limb 0, 1 the arms, 2, 3 the legs; span 0 upper, 1 lower.
double depth_of(const Task& task, const Values& values, int limb, int span);

} // namespace aplomb::drawing
