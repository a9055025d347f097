// SPDX-License-Identifier: MIT
// The sum of squares: its derivatives against Ceres' own differences, its least value against another solver's.
#include <gtest/gtest.h>

#include <ceres/gradient_checker.h>

#include "fit/costly.h"
#include "fit/made_dots.h"

#if __has_include(<nlopt.h>)
#include "fit/drawing_other_solver.h"
#endif

using namespace made;

TEST(DrawingCost, DerivativesAgreeWithDifferences) {
    for (int camera = 0; camera < 2; ++camera) {
        drawing::Task task = noisy_task(30 * degree, 5);
        if (camera == 1) {
            task.middle_x = 480, task.middle_y = 510, task.inverse_focal = 1 / 1400.0;
            task.tilt_given = task.height_given = true;
            task.tilt = 6 * degree, task.camera_height = 1.6;
        }
        auto* cost = new drawing::Cost{task};
        drawing::Function function(cost, cost->residual_count());
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

// other_solver_numbers is the same with 50 drawings.
TEST(DrawingCost, AnotherSolverFindsNothingLower) {
    SKIP_WHERE_TOO_SLOW();
    int answers = 0;
    for (const double heading : {0.0, 40.0, 80.0, 130.0, 180.0, 250.0})
        for (const double above :
             above_other_solver(noisy_task(heading * degree, static_cast<unsigned>(heading) + 3))) {
            EXPECT_LE(above, .001) << heading;
            ++answers;
        }
    EXPECT_GE(answers, 6);
}

#endif
