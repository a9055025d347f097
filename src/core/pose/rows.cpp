// SPDX-License-Identifier: MIT
#include "pose/rows.h"

#include <algorithm>
#include <cmath>

#include "model/swing_twist.h"
#include "solve/dense.h"

namespace aplomb {
namespace {

constexpr double length_unit = 0.03;       // of the leg's length, one unit of a length row
constexpr double angle_unit = 10 * degree; // one unit of an angle row
constexpr double far_away = 1e6;           // value of a row that cannot be measured

} // namespace

Rows::Rows(const Figure& figure, const Model& model, const Stiffness& stiffness, const HalfPlanes& support,
           Row* memory)
    : figure_(figure), model_(model), r_(model.reduction()), support_(support), row_(memory) {
    const double metre = length_unit * figure.leg_length;
    for (int i = 0; i < support.count; ++i)
        add(RowKind::edge, i, 0, 1, 0, metre);
    add(RowKind::chest, 0, 0, 1, stiffness.max_trunk, angle_unit);
    add(RowKind::hips, 0, 0, 1, stiffness.max_hips, metre);
    for (int i = 0; i < r_.limb_count; ++i)
        add_limb(i);
}

void Rows::add(RowKind kind, int index, int axis, int sign, double bound, double scale) {
    Row& row = row_[count_++];
    row.kind = kind;
    row.index = static_cast<int8_t>(index), row.axis = static_cast<int8_t>(axis),
    row.sign = static_cast<int8_t>(sign);
    row.bound = bound, row.scale = scale, row.rate = 1.0 / scale;
}

void Rows::add_limb(int i) {
    const Key& s = model_.key();
    const double metre = length_unit * figure_.leg_length;
    const FixedLimb& fixed = r_.limb[i];
    const Limb& limb = figure_.limbs[fixed.limb];
    limb_parent_[i] = from_neutral(figure_, s, figure_.joints[limb.upper].carrier);
    const Quat upper = from_neutral(figure_, s, limb.upper);
    const Quat end_parent = from_neutral(figure_, s, figure_.joints[limb.end].carrier);
    limb_upper_[i] = conjugate(to_quat(fixed.span.upper_frame)) * upper;
    end_parent_[i] = conjugate(to_quat(fixed.span.lower_frame)) * end_parent;
    end_[i] = from_neutral(figure_, s, limb.end);
    if (!fixed.bearing && !fixed.holds_load) return; // a held end gives way instead
    add(RowKind::reach, i, 0, -1, fixed.span.most, metre);
    add(RowKind::fold, i, 0, 1, fixed.span.least, metre);
    add_limits(RowKind::start_limit, i, swing_twist(conjugate(limb_parent_[i]) * upper),
               figure_.joints[limb.upper].limits);
    if (fixed.holds_load) return; // a wrist gives
    add_limits(RowKind::end_limit, i, swing_twist(conjugate(end_parent) * end_[i]),
               figure_.joints[limb.end].limits);
}

/// What the keyed pose already exceeds is not mended, and never made worse.
void Rows::add_limits(RowKind kind, int limb, const Vec3& keyed, const Limits& limits) {
    for (int a = 0; a < 3; ++a) {
        if (limits.lowest[a] > -1e8) add(kind, limb, a, 1, std::min(limits.lowest[a], keyed[a]), angle_unit);
        if (limits.highest[a] < 1e8)
            add(kind, limb, a, -1, std::max(limits.highest[a], keyed[a]), angle_unit);
    }
}

Quat Rows::start_frame(const ModelState& state, int limb) const {
    return model_.base_turn(state, r_.limb[limb]) * limb_parent_[limb];
}

Quat Rows::end_frame(const ModelState& state, int limb) const {
    return to_quat(state.limb[limb].span.lower_frame) * end_parent_[limb];
}

void Rows::measure(Evaluation& e) const {
    for (int i = 0; i < r_.limb_count; ++i) {
        if (!r_.limb[i].bearing && !r_.limb[i].holds_load) continue;
        LimitTurns& limb = e.limb[i];
        const Quat upper = to_quat(e.state.limb[i].span.upper_frame) * limb_upper_[i];
        limb.start_turn = conjugate(start_frame(e.state, i)) * upper;
        limb.start_swing = swing_twist(limb.start_turn);
        limb.start_known = half_swing_cosine(limb.start_turn) >= least_half_swing_cosine;
        if (r_.limb[i].holds_load) continue; // a wrist has no rows
        limb.end_turn = conjugate(end_frame(e.state, i)) * end_[i];
        limb.end_swing = swing_twist(limb.end_turn);
        limb.end_known = half_swing_cosine(limb.end_turn) >= least_half_swing_cosine;
    }
}

double Rows::value(const Evaluation& e, int index) const {
    const Row& row = row_[index];
    switch (row.kind) {
    case RowKind::edge:
        return support_.bound[row.index] - dot(support_.normal[row.index], e.state.balance_point);
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
    const LimitTurns& limb = e.limb[row.index];
    if (!(at_start ? limb.start_known : limb.end_known)) return far_away;
    return ((at_start ? limb.start_swing : limb.end_swing)[row.axis] - row.bound) * row.sign;
}

void Rows::push(const Evaluation& e, int index, double weight, Push& push) const {
    const Row& row = row_[index];
    const ModelState& state = e.state;
    const LimitTurns& limb = e.limb[row.index];
    switch (row.kind) {
    case RowKind::edge:
        return push.balance_point(support_.normal[row.index] * -weight);
    case RowKind::chest:
        return push.turn(r_.chest_link, transposed_times(log_jacobian(state.chest_turn),
                                                         state.chest_turn * (-weight / row.bound)));
    case RowKind::hips:
        for (int i = 0; i < 3; ++i)
            push.variable(i, -weight * state.x[i] / row.bound);
        return;
    case RowKind::reach:
    case RowKind::fold:
        return push.distance(row.index, weight * row.sign);
    case RowKind::start_limit: {
        const Vec3 torque = swing_twist_gradient(limb.start_turn, row.axis) * (weight * row.sign);
        return push.start_turn(row.index, rotate(start_frame(state, row.index), torque));
    }
    case RowKind::end_limit: {
        const Vec3 torque = swing_twist_gradient(limb.end_turn, row.axis) * (weight * row.sign);
        return push.end_turn(row.index, rotate(end_frame(state, row.index), torque));
    }
    }
}

void Rows::push_curve(const Evaluation& e, int index, int axis, double multiplier, Push& push) const {
    const Row& row = row_[index];
    const double weight = std::sqrt(multiplier / (row.bound * row.scale));
    if (row.kind == RowKind::chest)
        push.turn(r_.chest_link, log_jacobian(e.state.chest_turn).row[axis] * weight);
    else
        push.variable(axis, weight);
}

} // namespace aplomb
