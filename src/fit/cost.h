// SPDX-License-Identifier: MIT
// The least-squares problem as Ceres Solver sees it: a block of residuals for each pair, one number for each prior.
#pragma once

#include <array>
#include <vector>

#include "fit/pairs.h"
#include "fit/quiet.h"

namespace aplomb::fit {

/// What remains of a difference although the manner accounts for it, in standard deviations of the defaults, per part.
using Noise = std::array<double, APLOMB_MANNER_PARTS>;

/// The differences of a pair divided by the noise; each number that is learnt is a parameter block of its own.
class PairCost : public ceres::CostFunction {
public:
    PairCost(const Pairs& pairs, int pair, const Noise& noise);
    bool Evaluate(double const* const* parameters, double* residuals, double** jacobians) const override;

private:
    const Pairs& pairs_;
    int pair_;
    Noise noise_;
};

/// How far a number's logarithm is from 0, divided by the prior's width.
class PriorCost : public ceres::SizedCostFunction<1, 1> {
public:
    bool Evaluate(double const* const* parameters, double* residuals, double** jacobians) const override;
};

/// How much a pair counts, 0 to 1, by the sum of its squared differences divided by the noise.
double weight_of(double squares, int count);

/// All of `pairs` but `left_out` (-1: none). Numbers that are not `told` stay as they are in `logarithms`, which solving
/// changes.
std::unique_ptr<ceres::Problem> make_problem(const Pairs& pairs, int left_out, const std::vector<bool>& told,
                                             const Noise& noise, std::vector<double>& logarithms);

/// Solves with at most so many iterations; `watch` may be NULL. Returns the least cost.
double solve(ceres::Problem& problem, int most, ceres::IterationCallback* watch);

} // namespace aplomb::fit
