// SPDX-License-Identifier: MIT
// The pose problem: what a correction costs and what it must keep to, in the scaled variables y = x / sigma.
//
//     f = 1/2 |y - y^|^2 + 1/2 sum_limbs ((theta(d) - theta_key) / sigma_theta)^2
//       + 1/2 |log R_head|^2 / sigma_h^2 + 1/2 rho |p - p*|^2 / sigma_p^2
//
// with y^ the hip shift that answers the support. Rows c >= 0: the support area's edges moved inwards by the
// margin (they alone may give, all by one slack), the bounds on the whole correction, reach and joint limits
// of bearing limbs. Limits of lean joints are bounds on y.
#pragma once

#include "base/block.h"
#include "model/model.h"
#include "solve/problem.h"
#include "support/rest.h"

namespace aplomb {

enum class RowKind : uint8_t { edge, chest, hips, reach, fold, start_limit, end_limit };

struct Row {
    RowKind kind = RowKind::edge;
    int8_t index = 0; // edge, or fixed limb
    int8_t axis = 0;  // of a joint limit
    int8_t sign = 1;  // +1: lowest, -1: highest
    double bound = 0;
    double scale = 1; // metres or radians in one unit of the row
    double rate = 1;  // its inverse
};

inline constexpr int most_rows(int limbs) {
    return max_corners + 2 + 2 + 14 * limbs;
}
inline constexpr int max_residuals = 2 + max_limbs + 3;
inline constexpr int max_curves = 3 + 3; // of the bounds on chest and hips
static_assert(max_variables <= most_variables && max_residuals + max_curves <= most_residuals);

/// What rows and residuals of one fixed limb need.
struct LimbValues {
    double bend_slope = 0;       // of the limb's residual per metre
    Quat start_turn, end_turn;   // relative rotations that limits speak of
    Vec3 start_swing, end_swing; // their components
    bool start_told, end_told;   // false past half a turn, where components say nothing
};

/// Everything that is known at one y.
struct Evaluation : Point {
    ModelState state;
    double residual[max_residuals];
    LimbValues* limb = nullptr;

    void lay_out(Layout& layout, const Room& room);
};
/// The evaluation that a point of a pose's problem is.
inline Evaluation& whole(Point& point) {
    return static_cast<Evaluation&>(point);
}
inline const Evaluation& whole(const Point& point) {
    return static_cast<const Evaluation&>(point);
}

/// The most that the problems of one figure have.
ProblemSize size_for(const Room& room);

class PoseProblem final : public Problem {
public:
    /// `rows` has room for most_rows; `spare` is free again afterwards.
    PoseProblem(const Figure& figure, const Model& model, const Table& table, const Support& support,
                const Rest& rest, Row* rows, Evaluation& spare);

    const Row& row(int i) const { return rows_[i]; }
    int residual_count() const { return 2 + r_.limb_count + (r_.head_link >= 0 ? 3 : 0); }
    const Model& model() const { return model_; }
    const Rest& rest() const { return rest_; }
    /// Where a solve starts: nothing turned, the hips where the support asks for them, as low as reach needs.
    void start(double* y) const { copy(start_, y); }
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

    /// Moves the hips back by what a step leaves bearing limbs past their reach, where the closed form says
    /// nothing; so planted feet stay exactly.
    void settle_reach(Point& point) const override;

    double hard_violation(const Point& point) const override;
    double support_violation(const Point& point) const override;

private:
    void copy(const double* from, double* to) const;
    void add_row(RowKind kind, int index, int axis, int sign, double bound, double scale);
    void add_limb_rows();
    void add_limit_rows(RowKind kind, int limb, const Vec3& keyed, const Limits& limits);
    void find_start(Evaluation& spare);
    void measure_rows(Evaluation& e) const;
    void violate_unmeasured(Evaluation& e) const;
    double row_value(const Evaluation& e, const Row& row) const;
    Quat start_frame(const ModelState& state, int limb) const;
    Quat end_frame(const ModelState& state, int limb) const;
    void relative_turns(Evaluation& e) const;
    void residuals(Evaluation& e) const;
    void to_scaled(double* gradient) const;

    const Figure& figure_;
    const Model& model_;
    const Reduction& r_;
    const Table& table_;
    const Support& support_;
    const Rest& rest_;
    Row* rows_;                    // most_rows
    double middle_[max_variables]; // y^
    double start_[max_variables];
    // Keyed rotations; those of what rides on a span are against the span's own frame.
    Quat limb_parent_[max_limbs], limb_upper_[max_limbs], end_parent_[max_limbs], end_[max_limbs];
};

} // namespace aplomb
