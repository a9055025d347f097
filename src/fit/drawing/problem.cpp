// SPDX-License-Identifier: MIT
#include "fit/drawing/problem.h"

#include <algorithm>

#include "fit/quiet.h"

namespace aplomb::drawing {

double cost_of(const Task& task, const Values& values) {
    const Cost cost{task};
    std::vector<double> residual(static_cast<std::size_t>(cost.residual_count()));
    cost(values.data(), residual.data());
    double sum = 0;
    for (const double r : residual)
        sum += r * r;
    return .5 * sum;
}

Found refine(const Task& task, const Values& start, int iterations) {
    Found found;
    found.values = start;
    double* values = found.values.data();
    for (std::size_t k = 0; k < parameter_count; ++k)
        values[k] = std::clamp(values[k], task.ranges.lowest[k], task.ranges.highest[k]);
    auto* cost = new Cost{task}; // the problem's from here on
    const int count = cost->residual_count();
    ceres::Problem problem;
    problem.AddResidualBlock(
        new ceres::AutoDiffCostFunction<Cost, ceres::DYNAMIC, parameter_count>(cost, count), nullptr, values);
    for (int k = 0; k < parameter_count; ++k) {
        problem.SetParameterLowerBound(values, k, task.ranges.lowest[static_cast<std::size_t>(k)]);
        problem.SetParameterUpperBound(values, k, task.ranges.highest[static_cast<std::size_t>(k)]);
    }
    ceres::Solver::Options options = fit::quiet_options();
    options.linear_solver_type = ceres::DENSE_NORMAL_CHOLESKY; // the priors keep it well conditioned
    options.max_num_iterations = iterations;
    options.function_tolerance = 1e-7;
    options.parameter_tolerance = 1e-7;
    ceres::Solver::Summary summary;
    ceres::Solve(options, &problem, &summary);
    found.cost = summary.final_cost;
    found.converged = summary.termination_type == ceres::CONVERGENCE;
    return found;
}

} // namespace aplomb::drawing
