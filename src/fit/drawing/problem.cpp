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

namespace {

/// The residuals; fills their slopes, too.
std::vector<double> evaluated(const Function& function, const Values& values, Rows& slopes) {
    const int count = function.num_residuals();
    std::vector<double> residual(static_cast<std::size_t>(count));
    slopes.resize(count, parameter_count);
    const double* block = values.data();
    double* rows = slopes.data();
    function.Evaluate(&block, residual.data(), &rows);
    return residual;
}

/// Variables at a bound beyond which the sum of squares would go on falling.
std::vector<int> pressing(const Task& task, const Function& function, const Values& values) {
    Rows slopes;
    const std::vector<double> residual = evaluated(function, values, slopes);
    std::vector<int> found;
    for (std::size_t k = 0; k < parameter_count; ++k) {
        double slope = 0;
        for (std::size_t r = 0; r < residual.size(); ++r)
            slope += slopes(static_cast<Eigen::Index>(r), static_cast<Eigen::Index>(k)) * residual[r];
        constexpr double near = 1e-6;
        if ((values[k] < task.ranges.lowest[k] + near && slope > 0) ||
            (values[k] > task.ranges.highest[k] - near && slope < 0))
            found.push_back(static_cast<int>(k));
    }
    return found;
}

Found solve(const Task& task, const Values& start, int iterations, const std::vector<int>& held, bool exact) {
    Found found;
    found.values = start;
    double* values = found.values.data();
    for (std::size_t k = 0; k < parameter_count; ++k)
        values[k] = std::clamp(values[k], task.ranges.lowest[k], task.ranges.highest[k]);
    auto* cost = new Cost{task}; // the problem owns it from here on
    const int count = cost->residual_count();
    ceres::Problem problem;
    problem.AddResidualBlock(new Function(cost, count), nullptr, values);
    if (!held.empty()) problem.SetManifold(values, new ceres::SubsetManifold(parameter_count, held));
    for (int k = 0; k < parameter_count; ++k) {
        problem.SetParameterLowerBound(values, k, task.ranges.lowest[static_cast<std::size_t>(k)]);
        problem.SetParameterUpperBound(values, k, task.ranges.highest[static_cast<std::size_t>(k)]);
    }
    ceres::Solver::Options options = fit::quiet_options();
    options.linear_solver_type = ceres::DENSE_NORMAL_CHOLESKY; // the priors keep it well conditioned
    options.max_num_iterations = iterations;
    options.function_tolerance = options.parameter_tolerance = exact ? 1e-9 : 1e-6;
    ceres::Solver::Summary summary;
    ceres::Solve(options, &problem, &summary);
    found.cost = summary.final_cost;
    return found;
}

} // namespace

Rows slopes_of(const Task& task, const Values& values) {
    auto* cost = new Cost{task}; // the function owns it from here on
    Rows slopes;
    evaluated(Function(cost, cost->residual_count()), values, slopes);
    return slopes;
}

std::vector<int> pressing(const Task& task, const Values& values) {
    auto* cost = new Cost{task}; // the function owns it from here on
    return pressing(task, Function(cost, cost->residual_count()), values);
}

Found refine(const Task& task, const Values& start, int iterations) {
    return solve(task, start, iterations, {}, false);
}

Found settle(const Task& task, const Values& start) {
    constexpr int most_rounds = 8, iterations = 60;
    auto* cost = new Cost{task}; // the function owns it from here on
    const Function function(cost, cost->residual_count());
    Found found = {start, cost_of(task, start)};
    std::vector<int> held = pressing(task, function, start);
    for (int round = 0; round < most_rounds; ++round) {
        found = solve(task, found.values, iterations, held, true);
        std::vector<int> next = pressing(task, function, found.values);
        if (next == held) break;
        held = std::move(next);
    }
    return found;
}

} // namespace aplomb::drawing
