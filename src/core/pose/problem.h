// SPDX-License-Identifier: MIT
// The pose problem: what a correction costs and what it must keep to, in the scaled variables y = x / sigma.
//
//     f = 1/2 |y - y^|^2 + 1/2 |residuals of terms.h|^2
//
// with y^ the hip shift that answers the support and what a load asks of the body (carry/), within bounds on y and the rows of
// rows.h.
#pragma once

#include "pose/rows.h"

namespace aplomb {

static_assert(max_variables <= most_variables && max_residuals + max_curves <= most_residuals);

/// The most that the problems of one figure have.
ProblemSize size_for(const Room& room);

class PoseProblem final : public Problem {
public:
    /// `rows` has room for most_rows, `wrench` for one per link, all zero.
    PoseProblem(const TermInput& in, const HalfPlanes& support, Row* rows, Wrench* wrench);
    /// Finds y^ and where a solve starts. True where `spare` is left evaluated there.
    bool find_start(Evaluation& spare);
    /// Its parts, for a solve that may start elsewhere.
    bool asks_hips() const;
    /// How far the balance point follows the hips, along and across, from the gradient of the keyed pose.
    Vec2 find_carry(Evaluation& spare) const;
    /// `carry` is read where the hips are asked.
    void find_middle(const Vec2& carry);
    bool fit_start(Evaluation& spare);
    /// With nothing moved but what follows loads by itself.
    Vec2 keyed_balance_point(Evaluation& spare) const;

    /// y^; a whole clip asks for another one, smooth over time, and starts from there.
    const double* middle() const { return middle_; }
    void set_middle(const double* y);

    /// Adds to what the balance point is shifted by where held limbs give way, which the model leaves out.
    void shift_balance_point(const Vec2& by) { given_ = given_ + by; }

    const Row& row(int i) const { return rows_[i]; }
    int residual_count() const { return terms_.count(); }
    const Model& model() const { return model_; }
    const Aim& aim() const { return aim_; }
    /// Where a solve starts: nothing turned, the hips where the support asks for them, as low as reach needs.
    void start(double* y) const;
    /// The keyed pose, its hips as low as reach needs.
    void key(double* y) const;
    /// Lowers the hips until every bearing leg reaches its end with its knee bent by at least `bend`, turn of the
    /// hips left out.
    void unlock(double* y, double bend) const;

    void evaluate(Point& point) const override;
    void differentiate(Point& point, Derivatives& d, double window) const override;
    void objective_gradient(Point& point, double* out) const override;
    void gradient(const Point& point, const Derivatives& d, double* out) const override;
    /// The round rows are the bounds on chest and hips.
    void add_curves(const Point& point, const double* row_multiplier, Derivatives& d) const override;
    void row_gradient(const Point& point, int row, double* out) const override;

    /// Both components of the balance point's gradient in y; fills in the derivatives of `e`'s state.
    void balance_point_gradient(Evaluation& e, double* fore, double* left) const;

    /// The gradient in y of row . (first moment of all masses), once differentiated.
    void first_moment_gradient(const Evaluation& e, const Vec3& row, double* out) const;

    /// Moves the hips back by what a step leaves bearing limbs past their reach, where the closed form says
    /// nothing; so planted feet stay exactly.
    void settle_reach(Point& point) const override;

    double hard_violation(const Point& point) const override;
    double support_violation(const Point& point) const override;

private:
    void set_bounds();
    void aim_at(const Carriage& carriage);
    void measure_rows(Evaluation& e) const;
    void violate_unmeasured(Evaluation& e) const;
    int finish(Push& push, double* gradient) const;

    const Figure& figure_;
    const Model& model_;
    const Reduction& r_;
    const Stiffness& stiffness_;
    const Carriage& carriage_;
    const Aim& aim_;
    const bool rests_; // the hips answer the support
    Rows rows_;
    Terms terms_;
    Wrench* wrench_;
    Vec2 given_;                   // by shift_balance_point()
    double middle_[max_variables]; // y^
    double start_[max_variables];
};

} // namespace aplomb
