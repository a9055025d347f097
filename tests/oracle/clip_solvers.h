// SPDX-License-Identifier: MIT
// The clip's problem handed to two general-purpose solvers: IPOPT (A. Waechter, L. Biegler, Math. Program. 106, 2006) with
// exact first derivatives and the Lagrangian's Hessian, and Ceres Solver's sparse least squares under an augmented
// Lagrangian, which has no price to fall short at.
#pragma once

#include "oracle/clip_problem.h"

namespace clip_oracle {

struct Found {
    std::vector<double> y;
    bool converged = false;
    int iterations = 0;
};

Found run_ipopt(const ClipProblem& problem, const std::vector<double>& start);

/// `tolerance`: up to which rows count as held, in their units.
Found run_ceres(const ClipProblem& problem, const std::vector<double>& start, double tolerance);

} // namespace clip_oracle
