// SPDX-License-Identifier: MIT
// What the dots leave open around an answer: other values, drawn with the probability that dots, lengths and customs give them.
#pragma once

#include <vector>

#include "fit/drawing/problem.h"

namespace aplomb::drawing {

/// Values are drawn from the normal distribution of the answer's covariance, within the ranges, and drawn again by how much more
/// likely they are than it says (D. Rubin, Multiple Imputation for Nonresponse in Surveys, 1987: from memory). The same answer
/// and `first`, the seed of the random numbers, give the same values.
std::vector<Values> variants(const Task& task, const Values& answer, int count, unsigned first);

} // namespace aplomb::drawing
