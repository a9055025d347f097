// SPDX-License-Identifier: MIT
// A problem as the solver sees it: in scaled variables y, least 1/2 |y - y^|^2 + 1/2 |residuals|^2 + price x slack within
// bounds on y and rows c >= 0. The first rows are the support's: they alone may give, all by the one slack. What
// variables, residuals and rows mean is not known here (pose/problem.h).
#pragma once

#include <cstddef>

namespace aplomb {

// The most that a problem may have; its own arrays are as long as it says in its ProblemSize.
inline constexpr int most_variables = 42, most_residuals = 64;
inline constexpr int max_near_rows = 32;

struct ProblemSize {
    size_t variables, residuals, rows; // room for add_curves is among the residuals
};

/// What the solver wants to know at one y.
struct Point {
    double y[most_variables];
    double objective = 0;
    double* row = nullptr; // in the rows' own units
    // What rows fall short by, none below 0.
    double support_short = 0; // the worst of the support's, units
    double limits_short = 0;  // all others together, units
    double worst_limit = 0;   // of the others, metres or radians
};

/// First derivatives at one y.
struct Derivatives {
    double gradient[most_variables];
    // `stride` numbers a line: the residuals' derivatives, then what add_curves puts there, whose squares are curvature.
    double* jacobian = nullptr;
    int jacobian_count = 0;
    int width[most_residuals];  // numbers of each residual's row that are not zero, from the first
    double* near_row = nullptr; // gradients of rows near their bound, max_near_rows rows of `stride`
    int near_index[max_near_rows];
    int near_count = 0;
    int stride = 0;
    double aside[2]
                [most_variables]; // gradients that the answer's reader asks for; handed on, never used here
};

/// Every point and all derivatives belong to one problem, which may keep more in its points than the solver sees.
class Problem {
public:
    int size() const { return size_; }
    int row_count() const { return row_count_; }
    const double* lowest() const { return lowest_; }
    const double* highest() const { return highest_; }
    bool is_support(int row) const { return row < support_count_; }
    /// Metres in one unit of the support's rows.
    double support_unit() const { return support_unit_; }
    /// What a slack of one unit costs.
    double support_price() const { return support_price_; }
    /// The objective with what the slack costs.
    double cost(const Point& point) const { return point.objective + support_price_ * point.support_short; }

    /// Fills `point` for its y.
    virtual void evaluate(Point& point) const = 0;
    /// A step can end where the problem cannot be measured, such as out of a limb's reach: moves `point` back from
    /// there and evaluates it again.
    virtual void settle_reach(Point& point) const = 0;
    virtual void differentiate(Point& point, Derivatives& d, double window) const = 0;
    /// The objective's gradient alone, which costs a third of all derivatives.
    virtual void objective_gradient(Point& point, double* out) const = 0;
    /// The objective's gradient with the values of `point` and the residuals' derivatives of `d`.
    virtual void gradient(const Point& point, const Derivatives& d, double* out) const = 0;
    /// Adds to `d` the curvature of rows that are not straight, each by its multiplier.
    virtual void add_curves(const Point& point, const double* row_multiplier, Derivatives& d) const = 0;
    /// Gradient of one row in y.
    virtual void row_gradient(const Point& point, int row, double* out) const = 0;

    /// The largest violation of limits and bounds, and of the support, in metres or radians.
    virtual double hard_violation(const Point& point) const = 0;
    virtual double support_violation(const Point& point) const = 0;

protected:
    ~Problem() = default;

    int size_ = 0, row_count_ = 0, support_count_ = 0;
    double support_unit_ = 1, support_price_ = 1;
    double lowest_[most_variables], highest_[most_variables];
};

} // namespace aplomb
