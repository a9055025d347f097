// SPDX-License-Identifier: MIT
#include "pose/problem.h"

#include <algorithm>
#include <cmath>

#include "solve/dense.h"

namespace aplomb {
namespace {

constexpr double unmeasured = 1e6;    // what a row that is no number falls short by
constexpr double most_settled = 0.05; // of the leg's length, past reach
constexpr int settling_rounds = 30;
// Cost per leg's length that the balance point falls short of the margin asked for. By eye, and so that few poses that can be
// in balance fall short instead: .6 % of 3,000 random moments (1.2 % at 8).
constexpr double price_of_slack = 12.0 / 0.01;
constexpr double most_pelvis_turn[] = {12 * degree, 10 * degree, 8 * degree}; // pitch, twist, roll: by eye
constexpr double most_spine = 1.25; // of the trunk's bound, divided by shares: by eye
constexpr double most_pull = 0.3;   // of the leg's length
constexpr int halvings = 6;
constexpr double kept = 1e-9;       // metres or radians: a limit exceeded by less is kept
constexpr double least_carry = 0.5; // the hips carry at least this part of the balance point along

} // namespace

void Evaluation::lay_out(Layout& layout, const Room& room) {
    state.link = layout.take<LinkState>(room.links);
    state.follower = layout.take<FollowerState>(room.followers);
    state.limb = layout.take<LimbState>(room.limbs);
    row = layout.take<double>(static_cast<size_t>(most_rows(static_cast<int>(room.limbs))));
    limb = layout.take<LimitTurns>(room.limbs);
}

ProblemSize size_for(const Room& room) {
    const int limbs = static_cast<int>(room.limbs);
    return {room.variables, static_cast<size_t>(Terms::most(limbs) + max_curves),
            static_cast<size_t>(most_rows(limbs))};
}

PoseProblem::PoseProblem(const TermInput& in, const HalfPlanes& support, Row* rows, Wrench* wrench)
    : figure_(in.figure), model_(in.model), r_(in.model.reduction()), stiffness_(in.stiffness),
      carriage_(in.carriage), aim_(in.aim), rests_(in.options.rest > 0),
      rows_(figure_, model_, stiffness_, support, rows), terms_(in), wrench_(wrench) {
    size_ = r_.variable_count;
    row_count_ = rows_.count();
    support_count_ = support.count;
    support_unit_ = support_count_ > 0 ? rows_[0].scale : 1;
    support_price_ = price_of_slack * support_unit_ / figure_.leg_length;
    set_bounds();
}

void PoseProblem::set_bounds() {
    for (int i = 0; i < size(); ++i)
        lowest_[i] = -1e9, highest_[i] = 1e9;
    // No fold: hips one way, chest the other.
    for (int a = 0; a < 3; ++a) {
        const int i = Reduction::hips_turn + a;
        const double most = std::min(stiffness_.max_trunk, most_pelvis_turn[a]);
        if (r_.sigma[i] > 0) lowest_[i] = -most / r_.sigma[i], highest_[i] = most / r_.sigma[i];
    }
    const Vec3& whole = stiffness_.trunk;
    for (int b = 0; b < r_.block_count; ++b) {
        for (int a = 0; a < 3; ++a) {
            const int i = r_.block_variable(b) + a;
            const double sigma = r_.sigma[i];
            if (sigma <= 0) continue;
            const double most =
                stiffness_.max_trunk * most_spine * sigma * sigma / (whole[a] * whole[a]); // by its share
            lowest_[i] = std::max(r_.lowest[b][a], -most) / sigma;
            highest_[i] = std::min(r_.highest[b][a], most) / sigma;
        }
    }
    if (r_.has_level && r_.level.pull >= 0) {
        const int i = r_.level.pull;
        lowest_[i] = 0, highest_[i] = most_pull * figure_.leg_length / r_.sigma[i];
    }
}

// ---- Start
// --------------------------------------------------------------------------------------------------

bool PoseProblem::find_start(Evaluation& spare) {
    find_middle(asks_hips() ? find_carry(spare) : Vec2{});
    return fit_start(spare);
}

bool PoseProblem::asks_hips() const {
    return rests_ && (aim_.hips_way.fore != 0 || aim_.hips_way.left != 0);
}

Vec2 PoseProblem::find_carry(Evaluation& spare) const {
    ModelState& keyed = spare.state;
    std::fill(keyed.x, keyed.x + size(), 0.0);
    model_.place(keyed);
    model_.differentiate(keyed);
    for (int i = 0; i < r_.limb_count; ++i) { // a straight leg does not bend at once; the hips sink instead
        TwoSpanState& span = keyed.limb[i].span;
        if (span.distance >= r_.limb[i].span.most) span.slope = 0;
    }
    double fore[max_variables], left[max_variables];
    Push(model_, keyed, wrench_).find_balance_point(fore, left);
    return {fore[0], left[1]};
}

void PoseProblem::find_middle(const Vec2& carry) {
    std::fill(middle_, middle_ + size(), 0.0);
    std::fill(start_, start_ + size(), 0.0);
    if (asks_hips()) {
        const double way[2] = {aim_.hips_way.fore / std::max(least_carry, carry.fore),
                               aim_.hips_way.left / std::max(least_carry, carry.left)};
        const double most = 0.98 * stiffness_.max_hips;
        const double length = std::sqrt(way[0] * way[0] + way[1] * way[1]);
        for (int i = 0; i < 2; ++i) {
            if (r_.sigma[i] <= 0) continue;
            middle_[i] = way[i] / r_.sigma[i];
            start_[i] = middle_[i] * (length > most ? most / length : 1.0);
        }
    }
    aim_at(carriage_);
}

bool PoseProblem::fit_start(Evaluation& spare) {
    unlock(start_, 0.0);
    if (!carriage_.asks && carriage_.pelvis.z == 0) return false;
    for (int k = 0; k <= halvings; ++k) { // what a load asks for is no start past a limit
        std::copy(start_, start_ + size(), spare.y);
        evaluate(spare);
        if (hard_violation(spare) <= kept) return true;
        for (int i = 0; i < size(); ++i)
            start_[i] *= k == halvings ? 0.0 : 0.5;
        unlock(start_, 0.0);
    }
    return false;
}

Vec2 PoseProblem::keyed_balance_point(Evaluation& spare) const {
    std::fill(spare.state.x, spare.state.x + size(), 0.0);
    model_.place(spare.state);
    return spare.state.balance_point + given_;
}

/// What a load asks for, as targets of the variables.
void PoseProblem::aim_at(const Carriage& c) {
    if (!c.asks && c.pelvis.z == 0) return;
    double wish[max_variables] = {};
    for (int a = 0; a < 3; ++a)
        wish[a] = c.hips[a], wish[Reduction::hips_turn + a] = c.pelvis[a];
    const int blocks = r_.block_count;
    const auto lean = [&](int block) { return r_.block_variable(block) + 2; };
    double whole = 0; // by shares, which are the variances
    for (int b = 0; b < blocks; ++b)
        whole += r_.sigma[lean(b)] * r_.sigma[lean(b)];
    for (int b = 0; b < blocks && whole > 0; ++b)
        wish[lean(b)] = c.spine_side * r_.sigma[lean(b)] * r_.sigma[lean(b)] / whole;
    if (blocks > 1) wish[lean(blocks - 1)] += c.curve, wish[lean(0)] -= c.curve;
    for (int i = 0; i < r_.block_variable(blocks); ++i) {
        if (r_.sigma[i] <= 0) continue;
        middle_[i] += wish[i] / r_.sigma[i];
        start_[i] += wish[i] / r_.sigma[i];
    }
    for (int i = 0; i < size(); ++i)
        start_[i] = std::clamp(start_[i], lowest_[i], highest_[i]);
}

void PoseProblem::start(double* y) const {
    std::copy(start_, start_ + size(), y);
}

void PoseProblem::set_middle(const double* y) {
    std::copy(y, y + size(), middle_);
    for (int i = 0; i < size(); ++i)
        start_[i] = std::clamp(middle_[i], lowest_[i], highest_[i]);
    unlock(start_, 0.0);
}

void PoseProblem::key(double* y) const {
    std::fill(y, y + size(), 0.0);
    unlock(y, 0.0);
}

void PoseProblem::unlock(double* y, double bend) const {
    if (r_.sigma[2] <= 0) return;
    const Ground& g = model_.key().ground;
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
    y[2] = std::min(y[2], -std::min(drop, 0.5 * stiffness_.max_hips) / r_.sigma[2]);
}

// ---- Values
// -------------------------------------------------------------------------------------------------

void PoseProblem::evaluate(Point& point) const {
    Evaluation& e = whole(point);
    for (int i = 0; i < size(); ++i)
        e.state.x[i] = e.y[i] * r_.sigma[i];
    model_.place(e.state);
    e.state.balance_point = e.state.balance_point + given_;
    rows_.measure(e);
    terms_.values(e.state, e.residual);
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
        e.row[i] = rows_.value(e, i) * rows_[i].rate;
        e.support_short = std::max(e.support_short, -e.row[i]);
    }
    for (; i < row_count_; ++i) {
        const double value = rows_.value(e, i);
        e.row[i] = value * rows_[i].rate;
        if (value >= 0) continue; // NaN is not kept
        e.limits_short -= e.row[i];
        e.worst_limit = std::max(e.worst_limit, -value);
    }
}

/// What is not finite, cost or row, is not kept.
void PoseProblem::violate_unmeasured(Evaluation& e) const {
    for (int i = 0; i < row_count_; ++i) {
        if (!std::isfinite(e.row[i])) e.row[i] = -unmeasured;
    }
    e.limits_short = e.worst_limit = unmeasured;
}

void PoseProblem::settle_reach(Point& point) const {
    Evaluation& e = whole(point);
    if (e.worst_limit == 0) return;
    const Ground& g = model_.key().ground;
    for (int round = 0; round < settling_rounds; ++round) {
        bool moved = false;
        for (int i = 0; i < row_count_; ++i) {
            if (rows_[i].kind != RowKind::reach || e.row[i] >= 0) continue;
            if (r_.limb[rows_[i].index].holds_load) continue; // hips carry its shoulder and its load alike
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
    return e.support_short * support_unit_;
}

// ---- Derivatives
// --------------------------------------------------------------------------------------------

/// From a gradient in x to one in y.
int PoseProblem::finish(Push& push, double* gradient) const {
    const int width = push.finish();
    for (int i = 0; i < width; ++i)
        gradient[i] *= r_.sigma[i];
    return width;
}

void PoseProblem::balance_point_gradient(Evaluation& e, double* fore, double* left) const {
    model_.differentiate(e.state);
    Push(model_, e.state, wrench_).find_balance_point(fore, left);
    for (int i = 0; i < size(); ++i)
        fore[i] *= r_.sigma[i], left[i] *= r_.sigma[i];
}

void PoseProblem::row_gradient(const Point& point, int index, double* out) const {
    const Evaluation& e = whole(point);
    Push push(model_, e.state, wrench_);
    push.begin(out);
    rows_.push(e, index, rows_[index].rate, push);
    finish(push, out);
}

void PoseProblem::first_moment_gradient(const Evaluation& e, const Vec3& row, double* out) const {
    Push push(model_, e.state, wrench_);
    push.begin(out);
    push.first_moment(row);
    finish(push, out);
}

void PoseProblem::add_curves(const Point& point, const double* row_multiplier, Derivatives& d) const {
    const Evaluation& e = whole(point);
    Push push(model_, e.state, wrench_);
    for (int i = 0; i < row_count_; ++i) {
        if (row_multiplier[i] <= 0 || !rows_.is_round(i)) continue;
        for (int a = 0; a < 3; ++a) {
            double* out = d.jacobian + d.jacobian_count * d.stride;
            push.begin(out);
            rows_.push_curve(e, i, a, row_multiplier[i], push);
            d.width[d.jacobian_count++] = finish(push, out);
        }
    }
}

void PoseProblem::differentiate(Point& point, Derivatives& d, double window) const {
    Evaluation& e = whole(point);
    model_.differentiate(e.state);
    Push push(model_, e.state, wrench_);
    double *fore = d.aside[0], *left = d.aside[1];
    push.find_balance_point(fore, left);

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
        push.begin(out);
        rows_.push(e, d.near_index[k], rows_[d.near_index[k]].rate, push);
        finish(push, out);
    }

    terms_.each_push(e.state, [&](int k, auto push_residual) {
        double* out = d.jacobian + k * d.stride;
        push.begin(out);
        push_residual(push);
        d.width[k] = finish(push, out);
    });
    d.jacobian_count = residual_count();
    for (int i = 0; i < size(); ++i)
        fore[i] *= r_.sigma[i], left[i] *= r_.sigma[i];
    gradient(e, d, d.gradient);
}

void PoseProblem::objective_gradient(Point& point, double* out) const {
    Evaluation& e = whole(point);
    model_.differentiate(e.state);
    Push push(model_, e.state, wrench_);
    push.begin(out);
    terms_.push_all(e.state, e.residual, push);
    finish(push, out);
    for (int i = 0; i < size(); ++i)
        out[i] += e.y[i] - middle_[i];
}

void PoseProblem::gradient(const Point& point, const Derivatives& d, double* out) const {
    const Evaluation& e = whole(point);
    for (int i = 0; i < size(); ++i)
        out[i] = e.y[i] - middle_[i];
    for (int k = 0; k < residual_count(); ++k)
        add_scaled(out, e.residual[k], d.jacobian + k * d.stride, d.width[k]);
}

} // namespace aplomb
