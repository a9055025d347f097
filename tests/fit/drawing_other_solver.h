// SPDX-License-Identifier: MIT
// Answers of a drawing carried on by another solver: NLopt's SLSQP (D. Kraft 1988), within the same bounds.
#pragma once

#include <nlopt.h>

#include <algorithm>

#include "fit/made_dots.h"

namespace made {

inline double half_squares(unsigned, const double* x, double* gradient, void* data) {
    const auto& function = *static_cast<drawing::Function*>(data);
    const auto count = static_cast<std::size_t>(function.num_residuals());
    std::vector<double> residual(count), slopes(count * drawing::parameter_count);
    double* rows = slopes.data();
    function.Evaluate(&x, residual.data(), gradient ? &rows : nullptr);
    double sum = 0;
    for (int k = 0; gradient && k < drawing::parameter_count; ++k)
        gradient[k] = 0;
    for (std::size_t r = 0; r < count; ++r) {
        sum += .5 * residual[r] * residual[r];
        for (std::size_t k = 0; gradient && k < drawing::parameter_count; ++k)
            gradient[k] += slopes[r * drawing::parameter_count + k] * residual[r];
    }
    return sum;
}

/// How far the cost of each answer is above the other solver's, of that; at most three answers.
inline std::vector<double> above_other_solver(const drawing::Task& task) {
    auto* cost = new drawing::Cost{task}; // the function's from here on
    drawing::Function function(cost, cost->residual_count());
    std::vector<double> above;
    for (const drawing::Found& found : drawing::search(task, 3)) {
        nlopt_opt solver = nlopt_create(NLOPT_LD_SLSQP, drawing::parameter_count);
        nlopt_set_lower_bounds(solver, task.ranges.lowest.data());
        nlopt_set_upper_bounds(solver, task.ranges.highest.data());
        nlopt_set_min_objective(solver, half_squares, &function);
        nlopt_set_maxeval(solver, 300);
        nlopt_set_ftol_rel(solver, 1e-10);
        drawing::Values x = found.values;
        double least = 0;
        nlopt_optimize(solver, x.data(), &least);
        nlopt_destroy(solver);
        above.push_back(found.cost / least - 1);
    }
    return above;
}

} // namespace made
