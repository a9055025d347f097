// SPDX-License-Identifier: MIT
// The least-squares problem as Ceres Solver sees it: a block of residuals for each pair, one number for each prior.
#pragma once

#include <array>
#include <vector>

#include "fit/pairs.h"
#include "fit/quiet.h"

namespace aplomb::fit {

/// What is left of a difference that the manner accounts for, in standard deviations of the defaults, per part.
using Noise = std::array<double, APLOMB_MANNER_PARTS>;

/// A pair's differences over the noise; each number is a block of its own.
class PairCost : public ceres::CostFunction {
public:
    PairCost(const Pairs& pairs, int pair, const Noise& noise);
    bool Evaluate(double const* const* parameters, double* residuals, double** jacobians) const override;

private:
    const Pairs& pairs_;
    int pair_;
    Noise noise_;
};

/// How far a number's logarithm is from 0, over the prior's width.
class PriorCost : public ceres::SizedCostFunction<1, 1> {
public:
    bool Evaluate(double const* const* parameters, double* residuals, double** jacobians) const override;
};

/// What a pair counts, 0 to 1, by the sum of its squares over the noise.
double weight_of(double squares, int count);

/// `pairs` but `left_out` (-1: none); the numbers that are not `told` stay as they are in `logarithms`, which the problem
/// changes when it is solved.
std::unique_ptr<ceres::Problem> make_problem(const Pairs& pairs, int left_out, const std::vector<bool>& told,
                                             const Noise& noise, std::vector<double>& logarithms);

/// At most so many iterations; `watch` may be NULL. The least cost.
double solve(ceres::Problem& problem, int most, ceres::IterationCallback* watch);

} // namespace aplomb::fit
