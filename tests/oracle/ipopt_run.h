// SPDX-License-Identifier: MIT
// The full problem handed to IPOPT (A. Waechter, L. Biegler, Math. Program. 106, 2006) with exact first
// derivatives and the Lagrangian's Hessian.
#pragma once

#include "oracle/full_problem.h"

namespace full_space {

enum class Second { lagrangian, limited_memory };

struct Effort {
    Second second = Second::lagrangian;
    double tolerance = 1e-9;
    int max_iterations = 400;
};

struct Found {
    std::vector<double> v;
    bool converged = false;
    int iterations = 0;
    double objective = 0;
    double slack = 0; // metres
    Violation violation;
};

/// The rows' gradients at x by automatic differentiation, row by row.
void differentiate_rows(const FullProblem& problem, const double* x, double* slopes);

Found run_ipopt(const FullProblem& problem, const std::vector<double>& start, const Effort& effort);

} // namespace full_space
