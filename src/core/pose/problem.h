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
inline constexpr int max_near_rows = 32;
inline constexpr int max_residuals = 2 + max_limbs + 3;
inline constexpr int max_curves = 3 + 3; // of the bounds on chest and hips

/// What rows and residuals of one fixed limb need.
struct LimbValues {
    double bend_slope = 0;       // of the limb's residual per metre
    Quat start_turn, end_turn;   // relative rotations that limits speak of
    Vec3 start_swing, end_swing; // their components
    bool start_told, end_told;   // false past half a turn, where components say nothing
};

/// Everything that is known at one y.
struct Evaluation {
    ModelState state;
    double y[max_variables];
    double objective = 0;
    double* row = nullptr; // most_rows
    // What rows fall short by, none below 0.
    double support_short = 0; // the worst edge, units
    double limits_short = 0;  // all others together, units
    double worst_limit = 0;   // of the others, metres or radians
    double residual[max_residuals];
    LimbValues* limb = nullptr;

    void lay_out(Layout& layout, const Room& room);
};

/// First derivatives at one y.
struct Derivatives {
    double gradient[max_variables];
    double fore[max_variables], left[max_variables]; // of the balance point
    // Of the residuals, then rows whose squares are known curvature: max_residuals + max_curves rows of
    // `stride`.
    double* jacobian = nullptr;
    int jacobian_count = 0;
    int width[max_residuals + max_curves]; // numbers of each residual's row that are not zero, from the first
    double* near_row = nullptr; // gradients of rows near their bound, max_near_rows rows of `stride`
    int near_index[max_near_rows];
    int near_count = 0;
    int stride = 0;
};

class Problem {
public:
    /// `rows` has room for most_rows; `spare` is free again afterwards.
    Problem(const Figure& figure, const Model& model, const Table& table, const Support& support,
            const Rest& rest, Row* rows, Evaluation& spare);

    int size() const { return r_.variable_count; }
    int row_count() const { return row_count_; }
    const Row& row(int i) const { return rows_[i]; }
    int residual_count() const { return 2 + r_.limb_count + (r_.head_link >= 0 ? 3 : 0); }
    const Model& model() const { return model_; }
    const Rest& rest() const { return rest_; }
    const double* lowest() const { return lowest_; }
    const double* highest() const { return highest_; }
    /// Where a solve starts: nothing turned, the hips where the support asks for them, as low as reach needs.
    void start(double* y) const { copy(start_, y); }
    /// The keyed pose, its hips as low as reach needs.
    void key(double* y) const;
    /// Lowers the hips until every bearing leg reaches its end with its knee bent by at least `bend`, turn of the
    /// hips left out.
    void unlock(double* y, double bend) const;

    void evaluate(Evaluation& e) const;
    void differentiate(Evaluation& e, Derivatives& d, double window) const;
    /// The objective's gradient alone, which costs a third of all derivatives; fills in those of `e`'s state.
    void objective_gradient(Evaluation& e, double* out) const;
    /// The objective's gradient with the values of `e` and the residuals' derivatives of `d`.
    void gradient(const Evaluation& e, const Derivatives& d, double* out) const;
    /// Adds the curvature of the round bounds on chest and hips, by their multipliers, to `d`.
    void add_curves(const Evaluation& e, const double* row_multiplier, Derivatives& d) const;
    /// Gradient of one row in y.
    void row_gradient(const Evaluation& e, int row, double* out) const;

    /// Both components of the balance point's gradient in y; fills in the derivatives of `e`'s state.
    void balance_point_gradient(Evaluation& e, double* fore, double* left) const;

    /// Moves the hips back by what a step leaves bearing limbs past their reach, where the closed form says
    /// nothing; so planted feet stay exactly. Evaluates `e` again.
    void settle_reach(Evaluation& e) const;

    /// The largest violation of limits and reach, and of the support, in the rows' own units (metres,
    /// radians).
    double hard_violation(const Evaluation& e) const;
    double support_violation(const Evaluation& e) const;
    bool is_support(int row) const { return rows_[row].kind == RowKind::edge; }

private:
    void copy(const double* from, double* to) const;
    void add_row(RowKind kind, int index, int axis, int sign, double bound, double scale);
    void add_limb_rows();
    void add_limit_rows(RowKind kind, int limb, const Vec3& keyed, const Limits& limits);
    void find_start(Evaluation& spare);
    void measure_rows(Evaluation& e) const;
    void count_as_violated(Evaluation& e) const;
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
    int row_count_ = 0;
    Row* rows_; // most_rows
    double lowest_[max_variables], highest_[max_variables];
    double middle_[max_variables]; // y^
    double start_[max_variables];
    // Keyed rotations; those of what rides on a span are against the span's own frame.
    Quat limb_parent_[max_limbs], limb_upper_[max_limbs], end_parent_[max_limbs], end_[max_limbs];
};

} // namespace aplomb
