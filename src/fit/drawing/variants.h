// SPDX-License-Identifier: MIT
// What the dots leave open around an answer: other values, drawn by how likely dots, lengths and customs make them.
#pragma once

#include <vector>

#include "fit/drawing/problem.h"

namespace aplomb::drawing {

/// Drawn from the normal distribution of the answer's covariance, within the ranges, and drawn again by how much likelier each
/// is than that says (D. Rubin, Multiple Imputation for Nonresponse in Surveys, 1987: from memory). The same for the same
/// answer and `first`, which begins the row of chances.
std::vector<Values> variants(const Task& task, const Values& answer, int count, unsigned first);

} // namespace aplomb::drawing
