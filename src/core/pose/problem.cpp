// SPDX-License-Identifier: MIT
#include "pose/problem.h"

#include <algorithm>
#include <cmath>

#include "model/swing_twist.h"
#include "solve/dense.h"

namespace aplomb {
namespace {

constexpr double length_unit = 0.03;       // of the leg's length, one unit of a length row
constexpr double angle_unit = 10 * degree; // one unit of an angle row
constexpr double far_away = 1e6;           // value of a row that cannot be measured
constexpr double most_settled = 0.05;      // of the leg's length, past reach
constexpr int settling_rounds = 30;
constexpr double least_kappa = 0.5; // the hips carry at least this part of the balance point along

} // namespace

void Evaluation::lay_out(Layout& layout, const Room& room) {
    state.link = layout.take<LinkState>(room.links);
    state.arm = layout.take<ArmState>(room.limbs);
    state.limb = layout.take<LimbState>(room.limbs);
    row = layout.take<double>(static_cast<size_t>(most_rows(static_cast<int>(room.limbs))));
    limb = layout.take<LimbValues>(room.limbs);
}

ProblemSize size_for(const Room& room) {
    return {room.variables, room.limbs + (max_residuals - max_limbs) + max_curves,
            static_cast<size_t>(most_rows(static_cast<int>(room.limbs)))};
}

PoseProblem::PoseProblem(const Figure& figure, const Model& model, const Table& table, const Support& support,
                         const Rest& rest, Row* rows, Evaluation& spare)
    : figure_(figure), model_(model), r_(model.reduction()), table_(table), support_(support), rest_(rest),
      rows_(rows) {
    size_ = r_.variable_count;
    for (int i = 0; i < size(); ++i)
        lowest_[i] = -1e9, highest_[i] = 1e9, middle_[i] = 0;
    for (int i = Reduction::hips_turn; i < Reduction::first_block;
         ++i) { // no fold: hips one way, chest the other
        if (r_.sigma[i] > 0)
            lowest_[i] = -table.max_trunk / r_.sigma[i], highest_[i] = table.max_trunk / r_.sigma[i];
    }
    for (int b = 0; b < r_.block_count; ++b) {
        for (int a = 0; a < 3; ++a) {
            const int i = r_.block_variable(b) + a;
            if (r_.sigma[i] <= 0) continue;
            lowest_[i] = r_.lowest[b][a] / r_.sigma[i], highest_[i] = r_.highest[b][a] / r_.sigma[i];
        }
    }
    const double metre = length_unit * figure.leg_length;
    for (int i = 0; i < support.area.edge_count; ++i)
        add_row(RowKind::edge, i, 0, 1, 0, metre);
    support_count_ = row_count_, support_unit_ = metre;
    add_row(RowKind::chest, 0, 0, 1, table.max_trunk, angle_unit);
    add_row(RowKind::hips, 0, 0, 1, table.max_hips, metre);
    add_limb_rows();
    find_start(spare);
}

void PoseProblem::copy(const double* from, double* to) const {
    std::copy(from, from + size(), to);
}

void PoseProblem::add_row(RowKind kind, int index, int axis, int sign, double bound, double scale) {
    Row& row = rows_[row_count_++];
    row.kind = kind;
    row.index = static_cast<int8_t>(index), row.axis = static_cast<int8_t>(axis),
    row.sign = static_cast<int8_t>(sign);
    row.bound = bound, row.scale = scale, row.rate = 1.0 / scale;
}

void PoseProblem::add_limb_rows() {
    const Situation& s = model_.situation();
    const double metre = length_unit * figure_.leg_length;
    for (int i = 0; i < r_.limb_count; ++i) {
        const FixedLimb& fixed = r_.limb[i];
        const Limb& limb = figure_.limbs[fixed.limb];
        limb_parent_[i] = from_neutral(figure_, s, figure_.joints[limb.upper].carrier);
        const Quat upper = from_neutral(figure_, s, limb.upper);
        const Quat end_parent = from_neutral(figure_, s, figure_.joints[limb.end].carrier);
        limb_upper_[i] = conjugate(to_quat(fixed.span.upper_frame)) * upper;
        end_parent_[i] = conjugate(to_quat(fixed.span.lower_frame)) * end_parent;
        end_[i] = from_neutral(figure_, s, limb.end);
        if (!fixed.bearing) continue; // a held end gives way instead
        add_row(RowKind::reach, i, 0, -1, fixed.span.most, metre);
        add_row(RowKind::fold, i, 0, 1, fixed.span.least, metre);
        add_limit_rows(RowKind::start_limit, i, swing_twist(conjugate(limb_parent_[i]) * upper),
                       figure_.joints[limb.upper].limits);
        add_limit_rows(RowKind::end_limit, i, swing_twist(conjugate(end_parent) * end_[i]),
                       figure_.joints[limb.end].limits);
    }
}

/// What the keyed pose already exceeds is not mended, and never made worse.
void PoseProblem::add_limit_rows(RowKind kind, int limb, const Vec3& keyed, const Limits& limits) {
    for (int a = 0; a < 3; ++a) {
        if (limits.lowest[a] > -1e8)
            add_row(kind, limb, a, 1, std::min(limits.lowest[a], keyed[a]), angle_unit);
        if (limits.highest[a] < 1e8)
            add_row(kind, limb, a, -1, std::max(limits.highest[a], keyed[a]), angle_unit);
    }
}

// ---- Start
// --------------------------------------------------------------------------------------------------

void PoseProblem::find_start(Evaluation& spare) {
    std::fill(start_, start_ + size(), 0.0);
    if (table_.rest > 0 && (rest_.hips_way.fore != 0 || rest_.hips_way.left != 0)) {
        // kappa: how far the balance point follows the hips, from the gradient of the keyed pose.
        ModelState& keyed = spare.state;
        std::fill(keyed.x, keyed.x + size(), 0.0);
        model_.place(keyed);
        model_.differentiate(keyed);
        for (int i = 0; i < r_.limb_count;
             ++i) { // a straight leg does not bend at once; the hips sink instead
            TwoSpanState& span = keyed.limb[i].span;
            if (span.distance >= r_.limb[i].span.most) span.slope = 0;
        }
        double fore[max_variables], left[max_variables];
        model_.balance_point_gradient(keyed, fore, left);
        const double way[2] = {rest_.hips_way.fore / std::max(least_kappa, fore[0]),
                               rest_.hips_way.left / std::max(least_kappa, left[1])};
        const double most = 0.98 * table_.max_hips;
        const double length = std::sqrt(way[0] * way[0] + way[1] * way[1]);
        for (int i = 0; i < 2; ++i) {
            if (r_.sigma[i] <= 0) continue;
            middle_[i] = way[i] / r_.sigma[i];
            start_[i] = middle_[i] * (length > most ? most / length : 1.0);
        }
    }
    unlock(start_, 0.0);
}

void PoseProblem::key(double* y) const {
    std::fill(y, y + size(), 0.0);
    unlock(y, 0.0);
}

void PoseProblem::unlock(double* y, double bend) const {
    if (r_.sigma[2] <= 0) return;
    const Ground& g = model_.situation().ground;
    double drop = 0;
    for (int i = 0; i < r_.limb_count; ++i) {
        const FixedLimb& limb = r_.limb[i];
        if (!limb.bearing || limb.link != 0) continue;
        const Vec3 start = limb.span.start + g.fore * (y[0] * r_.sigma[0]) + g.left * (y[1] * r_.sigma[1]);
        const Vec3 way = limb.span.end - start;
        const double height = -dot(way, g.normal);
        const double across2 = dot(way, way) - height * height;
        const double bent = distance_of_bend(limb.span.upper_length, limb.span.lower_length, bend);
        const double most = std::min(limb.span.most, bent);
        const double room2 = most * most - across2;
        if (room2 > 0 && height > 0) drop = std::max(drop, height - std::sqrt(room2));
    }
    y[2] = std::min(y[2], -std::min(drop, 0.5 * table_.max_hips) / r_.sigma[2]);
}

// ---- Values
// -------------------------------------------------------------------------------------------------

Quat PoseProblem::start_frame(const ModelState& state, int limb) const {
    return state.link[r_.limb[limb].link].turn * limb_parent_[limb];
}

Quat PoseProblem::end_frame(const ModelState& state, int limb) const {
    return to_quat(state.limb[limb].span.lower_frame) * end_parent_[limb];
}

void PoseProblem::relative_turns(Evaluation& e) const {
    for (int i = 0; i < r_.limb_count; ++i) {
        if (!r_.limb[i].bearing) continue;
        const Quat upper = to_quat(e.state.limb[i].span.upper_frame) * limb_upper_[i];
        e.limb[i].start_turn = conjugate(start_frame(e.state, i)) * upper;
        e.limb[i].end_turn = conjugate(end_frame(e.state, i)) * end_[i];
        e.limb[i].start_swing = swing_twist(e.limb[i].start_turn);
        e.limb[i].end_swing = swing_twist(e.limb[i].end_turn);
        e.limb[i].start_told = half_swing_cosine(e.limb[i].start_turn) >= least_half_swing_cosine;
        e.limb[i].end_told = half_swing_cosine(e.limb[i].end_turn) >= least_half_swing_cosine;
    }
}

void PoseProblem::residuals(Evaluation& e) const {
    const Vec2 off = e.state.balance_point - rest_.aim;
    const double weight = std::sqrt(table_.rest) / table_.aim;
    e.residual[0] = off.fore * weight, e.residual[1] = off.left * weight;
    for (int i = 0; i < r_.limb_count; ++i) {
        const TwoSpan& span = r_.limb[i].span;
        const double used = e.state.limb[i].span.used;
        const double change = smooth_bend(used, span.length) - span.bend;
        const double sigma = change > 0 ? table_.knee_bend : table_.knee_straighten;
        e.residual[2 + i] = change / sigma;
        e.limb[i].bend_slope = smooth_bend_slope(used, span.length) * e.state.limb[i].span.slope / sigma;
    }
    if (r_.head_link < 0) return;
    for (int a = 0; a < 3; ++a)
        e.residual[2 + r_.limb_count + a] = e.state.head_turn[a] / table_.head;
}

double PoseProblem::row_value(const Evaluation& e, const Row& row) const {
    switch (row.kind) {
    case RowKind::edge: {
        const Vec2& n = support_.area.normal[row.index];
        return support_.area.offset[row.index] - support_.margin_asked - dot(n, e.state.balance_point);
    }
    case RowKind::chest:
        return 0.5 * (row.bound - dot(e.state.chest_turn, e.state.chest_turn) / row.bound);
    case RowKind::hips:
        return 0.5 * (row.bound - dot_n(e.state.x, e.state.x, 3) / row.bound);
    case RowKind::reach:
        return row.bound - e.state.limb[row.index].span.distance;
    case RowKind::fold:
        return e.state.limb[row.index].span.distance - row.bound;
    case RowKind::start_limit:
    case RowKind::end_limit:
        break;
    }
    const bool at_start = row.kind == RowKind::start_limit;
    const LimbValues& limb = e.limb[row.index];
    if (!(at_start ? limb.start_told : limb.end_told)) return far_away;
    return ((at_start ? limb.start_swing : limb.end_swing)[row.axis] - row.bound) * row.sign;
}

void PoseProblem::evaluate(Point& point) const {
    Evaluation& e = whole(point);
    for (int i = 0; i < size(); ++i)
        e.state.x[i] = e.y[i] * r_.sigma[i];
    model_.place(e.state);
    relative_turns(e);
    residuals(e);
    double sum = 0;
    for (int i = 0; i < size(); ++i)
        sum += (e.y[i] - middle_[i]) * (e.y[i] - middle_[i]);
    e.objective = 0.5 * (sum + dot_n(e.residual, e.residual, residual_count()));
    measure_rows(e);
    // A balance point that is no number shows in the objective, any other row in the sum.
    if (!std::isfinite(e.objective + e.limits_short)) violate_unmeasured(e);
}

void PoseProblem::measure_rows(Evaluation& e) const {
    e.support_short = e.limits_short = e.worst_limit = 0;
    int i = 0;
    for (; i < row_count_ && is_support(i); ++i) {
        e.row[i] = row_value(e, rows_[i]) * rows_[i].rate;
        e.support_short = std::max(e.support_short, -e.row[i]);
    }
    for (; i < row_count_; ++i) {
        const double value = row_value(e, rows_[i]);
        e.row[i] = value * rows_[i].rate;
        if (value >= 0) continue; // NaN is not kept
        e.limits_short -= e.row[i];
        e.worst_limit = std::max(e.worst_limit, -value);
    }
}

/// What is not finite, cost or row, is not kept.
void PoseProblem::violate_unmeasured(Evaluation& e) const {
    for (int i = 0; i < row_count_; ++i) {
        if (!std::isfinite(e.row[i])) e.row[i] = -far_away;
    }
    e.limits_short = e.worst_limit = far_away;
}

void PoseProblem::settle_reach(Point& point) const {
    Evaluation& e = whole(point);
    if (e.worst_limit == 0) return;
    const Ground& g = model_.situation().ground;
    for (int round = 0; round < settling_rounds; ++round) {
        bool moved = false;
        for (int i = 0; i < row_count_; ++i) {
            if (rows_[i].kind != RowKind::reach || e.row[i] >= 0) continue;
            const double past = -e.row[i] * rows_[i].scale;
            const Vec3& line = e.state.limb[rows_[i].index].span.line;
            const double free[3] = {r_.sigma[0] > 0 ? dot(g.fore, line) : 0,
                                    r_.sigma[1] > 0 ? dot(g.left, line) : 0,
                                    r_.sigma[2] > 0 ? dot(g.normal, line) : 0};
            const double size2 = dot_n(free, free, 3);
            if (past > most_settled * figure_.leg_length || size2 < 0.01) continue;
            for (int a = 0; a < 3; ++a) {
                if (r_.sigma[a] > 0) e.y[a] += 1.000001 * past * free[a] / (size2 * r_.sigma[a]);
            }
            moved = true;
        }
        if (!moved) return;
        evaluate(e);
    }
}

double PoseProblem::hard_violation(const Point& e) const {
    double worst = e.worst_limit;
    for (int i = 0; i < size(); ++i) {
        worst = std::max(worst, std::max(lowest_[i] - e.y[i], e.y[i] - highest_[i]) * r_.sigma[i]);
    }
    return worst;
}

double PoseProblem::support_violation(const Point& e) const {
    return e.support_short * length_unit * figure_.leg_length;
}

// ---- Derivatives
// --------------------------------------------------------------------------------------------

void PoseProblem::to_scaled(double* gradient) const {
    for (int i = 0; i < size(); ++i)
        gradient[i] *= r_.sigma[i];
}

void PoseProblem::balance_point_gradient(Evaluation& e, double* fore, double* left) const {
    model_.differentiate(e.state);
    model_.balance_point_gradient(e.state, fore, left);
    to_scaled(fore);
    to_scaled(left);
}

void PoseProblem::row_gradient(const Point& point, int index, double* out) const {
    const Evaluation& e = whole(point);
    const Row& row = rows_[index];
    const ModelState& state = e.state;
    double factor = 1.0;
    switch (row.kind) {
    case RowKind::edge:
        break; // from the balance point's own gradient, in differentiate()
    case RowKind::chest: {
        const Vec3 torque = transposed_times(log_jacobian(state.chest_turn), state.chest_turn);
        model_.link_turn_gradient(state, r_.chest_link, torque, out);
        factor = -1.0 / row.bound;
        break;
    }
    case RowKind::hips:
        std::fill(out, out + size(), 0.0);
        for (int i = 0; i < 3; ++i)
            out[i] = -state.x[i] / row.bound;
        break;
    case RowKind::reach:
    case RowKind::fold:
        model_.distance_gradient(state, row.index, out);
        factor = row.sign;
        break;
    case RowKind::start_limit: {
        const Vec3 torque = swing_twist_jacobian(e.limb[row.index].start_turn).row[row.axis];
        model_.start_turn_gradient(state, row.index, rotate(start_frame(state, row.index), torque), out);
        factor = row.sign;
        break;
    }
    case RowKind::end_limit: {
        const Vec3 torque = swing_twist_jacobian(e.limb[row.index].end_turn).row[row.axis];
        model_.end_turn_gradient(state, row.index, rotate(end_frame(state, row.index), torque), out);
        factor = row.sign;
        break;
    }
    }
    for (int i = 0; i < size(); ++i)
        out[i] *= factor * r_.sigma[i] / row.scale;
}

void PoseProblem::add_curves(const Point& point, const double* row_multiplier, Derivatives& d) const {
    const Evaluation& e = whole(point);
    for (int i = 0; i < row_count_; ++i) {
        const Row& row = rows_[i];
        if (row_multiplier[i] <= 0 || (row.kind != RowKind::chest && row.kind != RowKind::hips)) continue;
        const double weight = std::sqrt(row_multiplier[i] / (row.bound * row.scale));
        const Mat3 rate = log_jacobian(e.state.chest_turn) * weight;
        for (int a = 0; a < 3; ++a) {
            d.width[d.jacobian_count] = size();
            double* out = d.jacobian + d.jacobian_count++ * d.stride;
            if (row.kind == RowKind::chest) {
                model_.link_turn_gradient(e.state, r_.chest_link, rate.row[a], out);
                to_scaled(out);
            } else {
                std::fill(out, out + size(), 0.0);
                out[a] = weight * r_.sigma[a];
            }
        }
    }
}

void PoseProblem::differentiate(Point& point, Derivatives& d, double window) const {
    Evaluation& e = whole(point);
    const int n = size();
    double *fore = d.aside[0], *left = d.aside[1];
    balance_point_gradient(e, fore, left);

    // Rows near their bound; the window shrinks until they fit.
    for (;; window *= 0.5) {
        d.near_count = 0;
        int found = 0;
        for (int i = 0; i < row_count_; ++i) {
            if (e.row[i] >= window) continue;
            if (found++ < max_near_rows) d.near_index[d.near_count++] = i;
        }
        if (found <= max_near_rows) break;
    }
    for (int k = 0; k < d.near_count; ++k) {
        double* out = d.near_row + k * d.stride;
        const Row& row = rows_[d.near_index[k]];
        if (row.kind == RowKind::edge) {
            const Vec2& normal = support_.area.normal[row.index];
            for (int i = 0; i < n; ++i)
                out[i] = -(normal.fore * fore[i] + normal.left * left[i]) / row.scale;
        } else {
            row_gradient(e, d.near_index[k], out);
        }
    }

    std::fill(d.width, d.width + residual_count(), n);
    const double weight = std::sqrt(table_.rest) / table_.aim;
    for (int i = 0; i < n; ++i)
        d.jacobian[i] = fore[i] * weight, d.jacobian[d.stride + i] = left[i] * weight;
    for (int k = 0; k < r_.limb_count; ++k) {
        double* out = d.jacobian + (2 + k) * d.stride;
        model_.distance_gradient(e.state, k, out);
        d.width[2 + k] = model_.width_of(r_.limb[k].link);
        for (int i = 0; i < d.width[2 + k]; ++i)
            out[i] *= e.limb[k].bend_slope * r_.sigma[i];
    }
    if (r_.head_link >= 0) {
        const Mat3 rate = log_jacobian(e.state.head_turn) * (1.0 / table_.head);
        for (int a = 0; a < 3; ++a) {
            double* out = d.jacobian + (2 + r_.limb_count + a) * d.stride;
            model_.link_turn_gradient(e.state, r_.head_link, rate.row[a], out);
            to_scaled(out);
        }
    }
    d.jacobian_count = residual_count();
    gradient(e, d, d.gradient);
}

void PoseProblem::objective_gradient(Point& point, double* out) const {
    Evaluation& e = whole(point);
    model_.differentiate(e.state);
    const double weight = std::sqrt(table_.rest) / table_.aim;
    double limb[max_limbs];
    for (int i = 0; i < r_.limb_count; ++i)
        limb[i] = e.residual[2 + i] * e.limb[i].bend_slope;
    Vec3 torque;
    if (r_.head_link >= 0) {
        const double* head = e.residual + 2 + r_.limb_count;
        torque = transposed_times(log_jacobian(e.state.head_turn), {head[0], head[1], head[2]}) *
                 (1.0 / table_.head);
    }
    model_.sum_gradient(e.state, e.residual[0] * weight, e.residual[1] * weight, limb, torque, out);
    for (int i = 0; i < size(); ++i)
        out[i] = out[i] * r_.sigma[i] + (e.y[i] - middle_[i]);
}

void PoseProblem::gradient(const Point& point, const Derivatives& d, double* out) const {
    const Evaluation& e = whole(point);
    for (int i = 0; i < size(); ++i)
        out[i] = e.y[i] - middle_[i];
    for (int k = 0; k < residual_count(); ++k)
        add_scaled(out, e.residual[k], d.jacobian + k * d.stride, d.width[k]);
}

} // namespace aplomb
