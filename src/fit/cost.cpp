// SPDX-License-Identifier: MIT
#include "fit/cost.h"

#include <cmath>

namespace aplomb::fit {
namespace {

/// Cauchy's loss has 95 % of the efficiency of least squares at 2.385 standard deviations (P. Huber, Robust Statistics:
/// the tuning constant is common practice, from memory). A pair's squares count together, so per number of it.
constexpr double tuning = 2.385;

} // namespace

PairCost::PairCost(const Pairs& pairs, int pair, const Noise& noise)
    : pairs_(pairs), pair_(pair), noise_(noise) {
    set_num_residuals(pairs.size());
    mutable_parameter_block_sizes()->assign(static_cast<size_t>(pairs.unknowns()), 1);
}

bool PairCost::Evaluate(double const* const* parameters, double* residuals, double** jacobians) const {
    const auto n = static_cast<size_t>(pairs_.unknowns()), m = static_cast<size_t>(pairs_.size());
    const std::vector<int>& parts = pairs_.measure().parts();
    const auto noise = [&](size_t i) { return noise_[static_cast<size_t>(parts[i])]; };
    std::vector<double> logarithms(n);
    for (size_t j = 0; j < n; ++j)
        logarithms[j] = parameters[j][0];
    std::vector<double> here(m);
    if (!pairs_.differences(pair_, logarithms.data(), here.data())) return false;
    for (size_t i = 0; i < m; ++i)
        residuals[i] = here[i] / noise(i);
    for (size_t j = 0; jacobians && j < n; ++j) {
        if (!jacobians[j]) continue;
        if (!pairs_.derivatives(pair_, logarithms.data(), j, here.data(), jacobians[j])) return false;
        for (size_t i = 0; i < m; ++i)
            jacobians[j][i] /= noise(i);
    }
    return true;
}

bool PriorCost::Evaluate(double const* const* parameters, double* residuals, double** jacobians) const {
    residuals[0] = parameters[0][0] / prior_width;
    if (jacobians && jacobians[0]) jacobians[0][0] = 1 / prior_width;
    return true;
}

double weight_of(double squares, int count) {
    return 1 / (1 + squares / (tuning * tuning * count));
}

std::unique_ptr<ceres::Problem> make_problem(const Pairs& pairs, int left_out, const std::vector<bool>& told,
                                             const Noise& noise, std::vector<double>& logarithms) {
    auto problem = std::make_unique<ceres::Problem>();
    std::vector<double*> blocks;
    for (double& x : logarithms)
        blocks.push_back(&x);
    const double scale = tuning * std::sqrt(pairs.size());
    for (int p = 0; p < pairs.count(); ++p) {
        if (p != left_out)
            problem->AddResidualBlock(new PairCost(pairs, p, noise), new ceres::CauchyLoss(scale), blocks);
    }
    for (size_t j = 0; j < blocks.size(); ++j) {
        const Learnt& number = pairs.numbers()[j];
        problem->AddResidualBlock(new PriorCost, nullptr, blocks[j]);
        problem->SetParameterLowerBound(blocks[j], 0, number.lowest);
        problem->SetParameterUpperBound(blocks[j], 0, number.highest);
        if (!told[j]) problem->SetParameterBlockConstant(blocks[j]);
    }
    return problem;
}

double solve(ceres::Problem& problem, int most, ceres::IterationCallback* watch) {
    ceres::Solver::Options options = quiet_options();
    if (watch) options.callbacks.push_back(watch);
    options.max_num_iterations = most;
    options.function_tolerance = 1e-4;
    options.parameter_tolerance = 1e-4;
    ceres::Solver::Summary summary;
    ceres::Solve(options, &problem, &summary);
    return summary.final_cost;
}

} // namespace aplomb::fit
