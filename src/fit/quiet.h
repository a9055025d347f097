// SPDX-License-Identifier: MIT
// Ceres Solver as a library needs it: it prints nothing, uses one thread and gives the same answer for the same input.
#pragma once

#include <ceres/ceres.h>

namespace aplomb::fit {

/// For small dense problems.
inline ceres::Solver::Options quiet_options() {
    ceres::Solver::Options options;
    options.linear_solver_type = ceres::DENSE_QR;
    options.minimizer_type = ceres::TRUST_REGION;
    options.logging_type = ceres::SILENT;
    options.minimizer_progress_to_stdout = false;
    options.num_threads = 1;
    return options;
}

} // namespace aplomb::fit
