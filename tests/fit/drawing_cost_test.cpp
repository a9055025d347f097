// SPDX-License-Identifier: MIT
// The sum of squares: its derivatives against Ceres' own differences, its least value against another solver's.
#include <gtest/gtest.h>

#include <ceres/ceres.h>
#include <ceres/gradient_checker.h>

#include <cstdio>

#include "fit/made_dots.h"

#if __has_include(<nlopt.h>)
#include <nlopt.h>
#endif

namespace {

using namespace made;
using Function = ceres::AutoDiffCostFunction<drawing::Cost, ceres::DYNAMIC, drawing::parameter_count>;

/// A task with noisy dots, ready to be fitted.
drawing::Task noisy_task(double heading, unsigned seed) {
    drawing::Task task = bare_task(heading);
    see_all(task, dots_of(task, walking(), .01, seed));
    drawing::guess(task);
    return task;
}

} // namespace

TEST(DrawingCost, DerivativesAgreeWithDifferences) {
    for (int camera = 0; camera < 2; ++camera) {
        drawing::Task task = noisy_task(30 * degree, 5);
        if (camera == 1) {
            task.middle_x = 480, task.middle_y = 510, task.inverse_focal = 1 / 1400.0;
            task.tilt_given = task.height_given = true;
            task.tilt = 6 * degree, task.camera_height = 1.6;
        }
        auto* cost = new drawing::Cost{task};
        Function function(cost, cost->residual_count());
        ceres::NumericDiffOptions options;
        options.ridders_relative_initial_step_size =
            1e-3; // from 1e-2 two coarse steps agree by chance now and then
        ceres::GradientChecker checker(
            &function, static_cast<const std::vector<const ceres::Manifold*>*>(nullptr), options);
        std::mt19937 random(11);
        for (int trial = 0; trial < 5; ++trial) {
            drawing::Values at;
            for (std::size_t k = 0; k < at.size(); ++k) {
                const double spread = std::isfinite(task.ranges.sigma[k]) ? task.ranges.sigma[k] : .2;
                at[k] = task.ranges.usual[k] + spread * (static_cast<double>(random() % 1000) / 500 - 1.001);
            }
            const double* block = at.data();
            ceres::GradientChecker::ProbeResults results;
            EXPECT_TRUE(checker.Probe(&block, 1e-5, &results)) << results.error_log;
        }
    }
}

#if __has_include(<nlopt.h>)

namespace {

double objective(unsigned, const double* x, double* gradient, void* data) {
    const auto& function = *static_cast<Function*>(data);
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

} // namespace

/// NLopt's SLSQP (D. Kraft 1988) goes on from each answer, within the same bounds: it finds next to nothing.
TEST(DrawingCost, AnotherSolverFindsNothingLower) {
    int answers = 0;
    double most = 0;
    for (const double heading : {0.0, 40.0, 80.0, 130.0, 180.0, 250.0}) {
        const drawing::Task task = noisy_task(heading * degree, static_cast<unsigned>(heading) + 3);
        drawing::Cost* cost = new drawing::Cost{task};
        Function function(cost, cost->residual_count());
        for (const drawing::Found& found : drawing::search(task, 3)) {
            nlopt_opt solver = nlopt_create(NLOPT_LD_SLSQP, drawing::parameter_count);
            nlopt_set_lower_bounds(solver, task.ranges.lowest.data());
            nlopt_set_upper_bounds(solver, task.ranges.highest.data());
            nlopt_set_min_objective(solver, objective, &function);
            nlopt_set_maxeval(solver, 300);
            nlopt_set_ftol_rel(solver, 1e-10);
            drawing::Values x = found.values;
            double least = 0;
            nlopt_optimize(solver, x.data(), &least);
            nlopt_destroy(solver);
            ++answers, most = std::max(most, found.cost / least - 1);
            EXPECT_LE(found.cost, least * 1.001) << heading;
        }
    }
    std::printf("%d answers, at most %.5f %% above NLopt's\n", answers, 100 * most);
    EXPECT_GE(answers, 6);
}

#endif
