// SPDX-License-Identifier: MIT
// The surer run of the interior point, for ranges in which quick steps jam or swing to and fro. Limits may give, too, at
// a price that no answer pays; gaps follow from the rows' values in closed form, so that for one barrier there is a
// smooth cost of y alone, and every step lowers it (J. Nocedal and S. Wright, Numerical Optimization, 2nd ed. 2006, ch.
// 3 and 19). Multipliers that the steps predict serve the curvature alone.
#include "clip/correct/interior.h"

#include <Eigen/Eigenvalues>

#include <algorithm>
#include <cmath>

namespace aplomb {
namespace {

constexpr double near = 2;    // as in interior.cpp
constexpr double apart = 1e3; // by which a predicted multiplier may differ from that of the barrier
constexpr double longest = 3;
constexpr double least_barrier = 1e-6;
constexpr double price_of_a_unit = 1e5;
constexpr int most_still = 5;
constexpr int most_halvings = 12;
constexpr double difference = 1e-6, least_curvature = 0.1;
constexpr double sufficient = 1e-4;
constexpr double first_stiffness = 1e-2, stiffer = 8, softer = 0.25, stiffest = 1e8;

} // namespace

double Interior::price_of(const Moment& frame) const {
    return frame.weight * price_;
}

double Interior::pull_of(const Hold& hold) const {
    return surely_ ? barrier_ / hold.gap : hold.multiplier;
}

double Interior::rate_of(const Moment& frame, const Hold& hold, double value) const {
    if (!surely_) return hold.multiplier / hold.gap;
    const double slack = gap_at(-value, price_of(frame));
    return 1 / (hold.gap / hold.multiplier + slack / (price_of(frame) - hold.multiplier));
}

/// The gap g with the least  price (g - value) - barrier (log g + log (g - value));  that of -value is by how much it gives.
double Interior::gap_at(double value, double price) const {
    const double all = price * value, root = std::sqrt(all * all + 4 * barrier_ * barrier_);
    const double above = all < 0 ? 4 * barrier_ * barrier_ / (root - all) : root + all;
    return (above + 2 * barrier_) / (2 * price);
}

double Interior::cost_of_limit(double value, double price) const {
    const double gap = gap_at(value, price), slack = gap_at(-value, price);
    return price * slack - barrier_ * (std::log(gap) + std::log(slack));
}

/// The slack s > 0 of a frame's support with the least  price s - barrier (log s + sum of log (edge + s)).
double Interior::slack_at(const Range& range, int t) const {
    const Moment& f = range[t];
    const double price = f.weight * f.problem->support_price();
    const double least = range.short_of(f);
    // Its derivative is concave and grows, so Newton's method comes from below.
    double slack = least + barrier_ / price;
    for (int round = 0; round < 60; ++round) {
        double force = price - barrier_ / slack, rate = barrier_ / (slack * slack);
        for (int i = 0; i < f.support.bounds.count; ++i) {
            const double edge = range.edge(f, i);
            force -= barrier_ / (edge + slack), rate += barrier_ / ((edge + slack) * (edge + slack));
        }
        const double step = -force / rate;
        slack += step;
        if (step <= 1e-14 * slack) break;
    }
    return slack;
}

void Interior::hold_surely(Hold& hold, double gap, double most) {
    hold.gap = gap;
    const double usual = barrier_ / gap;
    if (!(hold.multiplier > 0)) hold.multiplier = usual;
    hold.multiplier = std::clamp(hold.multiplier, usual / apart, usual * apart);
    if (most < INFINITY) hold.multiplier = std::min(hold.multiplier, most - (most - usual) / apart);
    hold.is_near = true;
}

double Interior::cost_with_barrier(const Range& range, int t) const {
    const Moment& f = range[t];
    const PoseProblem& problem = *f.problem;
    double sum = f.weight * f.at.objective;
    const double price = price_of(f), at_near = cost_of_limit(near, price);
    const auto add = [&](double value) {
        if (value < near) sum += cost_of_limit(value, price) - at_near;
    };
    for (int i = f.support.bounds.count; i < problem.row_count(); ++i)
        add(f.at.row[i]);
    for (int i = 0; i < problem.size(); ++i) {
        if (f.reduction.sigma[i] <= 0) continue;
        add(f.at.y[i] - problem.lowest()[i]), add(problem.highest()[i] - f.at.y[i]);
    }
    if (f.support.bounds.count == 0) return sum;
    const double slack = slack_at(range, t);
    sum += f.weight * problem.support_price() * slack - barrier_ * std::log(slack);
    for (int i = 0; i < f.support.bounds.count; ++i)
        sum -= barrier_ * std::log(range.edge(f, i) + slack);
    return sum;
}

double Interior::cost_with_barrier(const Range& range) const {
    double sum = range.cost_of_motion();
    for (int t = 0; t < count_; ++t)
        sum += cost_with_barrier(range, t);
    return sum;
}

/// What the edges' multipliers of the barrier pull with on a frame's balance point in motion.
Vec2 Interior::pull_of_edges(const Range& range, int t) const {
    const Moment& f = range[t];
    Vec2 pull;
    if (f.support.bounds.count == 0) return pull;
    const double slack = slack_at(range, t);
    for (int i = 0; i < f.support.bounds.count; ++i) {
        const Row& row = f.problem->row(i);
        pull = pull - f.support.bounds.normal[row.index] * (row.rate * barrier_ / (range.edge(f, i) + slack));
    }
    return pull;
}

/// The curvature of all that depends on a frame's own variables alone, by differences of its gradient, without what of it bends
/// down.
void Interior::find_curvature(Range& range, int task, int t, double* matrix) const {
    Moment& f = range[t];
    const PoseProblem& problem = *f.problem;
    const int size = problem.size();
    double multiplier[most_rows(max_limbs)] = {};
    for (int i = f.support.bounds.count; i < problem.row_count(); ++i)
        if (f.at.row[i] < near) multiplier[i] = barrier_ / gap_at(f.at.row[i], price_of(f));
    const Vec2 on_point = pull_of_edges(range, t);
    double on_way[2] = {};
    const Grid& grid = range.grid();
    const auto add = [&](int other, double weight) {
        if (other < 0) return;
        const Moment& o = range[other];
        const Vec2 pull = pull_of_edges(range, other) * (-o.sway * weight);
        on_way[0] += dot(pull, range.owned(o, {1, 0})), on_way[1] += dot(pull, range.owned(o, {0, 1}));
    };
    const int before = grid.before(t), after = grid.after(t);
    add(t, grid.second(t, f.sway).own);
    if (before >= 0) add(before, grid.second(before, range[before].sway).after);
    if (after >= 0) add(after, grid.second(after, range[after].sway).before);

    const auto gradient = [&](double* out) {
        const Derivatives& d = range.differentiate(task, t, near);
        for (int i = 0; i < size; ++i)
            out[i] = f.weight * d.gradient[i] - on_point.fore * f.point_gradient[i] -
                     on_point.left * f.point_gradient[d.stride + i] - on_way[0] * f.way_gradient[i] -
                     on_way[1] * f.way_gradient[d.stride + i];
        for (int k = 0; k < f.near_count; ++k) {
            const double pull = multiplier[f.near_index[k]];
            for (int i = 0; pull > 0 && i < size; ++i)
                out[i] -= pull * f.near_row[k * d.stride + i];
        }
    };
    double here[max_variables], there[max_variables];
    gradient(here);
    using Matrix = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, 0, max_variables, max_variables>;
    Matrix curvature(size, size);
    for (int j = 0; j < size; ++j) {
        const double y = f.at.y[j];
        f.at.y[j] = y + difference;
        problem.evaluate(f.at);
        gradient(there);
        f.at.y[j] = y;
        for (int i = 0; i < size; ++i)
            curvature(i, j) = (there[i] - here[i]) / difference;
    }
    problem.evaluate(f.at);
    curvature = (curvature + Matrix(curvature.transpose())) / 2;
    const Eigen::SelfAdjointEigenSolver<Matrix> parts(curvature);
    Eigen::Map<Eigen::MatrixXd> own(matrix, size, size);
    own = parts.eigenvectors() * parts.eigenvalues().cwiseMax(f.weight * least_curvature).asDiagonal() *
          parts.eigenvectors().transpose();
}

/// A step, as far as it lowers the cost. False where none does.
bool Interior::descend(Range& range) {
    double slope = 0, largest = 0;
    for (int i = 0; i < count_ * n_; ++i) {
        slope += gradient_[i] * step_[i];
        largest = std::max(largest, std::fabs(step_[i]));
    }
    const double before = cost_with_barrier(range), rounding = 1e-13 * std::fabs(before);
    double part = largest > longest ? longest / largest : 1;
    take_step(range, part);
    for (int halving = 0;; ++halving) {
        if (range.evaluate() && cost_with_barrier(range) <= before + sufficient * part * slope + rounding)
            break;
        if (halving == most_halvings) {
            take_step(range, -part);
            range.evaluate();
            last_length_ = 0;
            return false;
        }
        take_step(range, -part / 2);
        part /= 2;
    }
    last_length_ = part;
    return true;
}

Proof Interior::run_surely(Range& range, double tolerance, int most_steps, double barrier, Ticker& ticker) {
    surely_ = true, stiffness_ = 0, price_ = price_of_a_unit, barrier_ = barrier;
    std::fill_n(hold_, static_cast<size_t>(count_) * rows_, Hold{});
    std::fill_n(give_, count_, Give{});
    proof_ = {};
    if (!range.evaluate()) return proof_;
    int still = 0; // steps on which the cost hardly fell
    for (int k = 0; k <= most_steps; ++k) {
        proof_.ended = !ticker.goes_on();
        if (proof_.ended) break;
        assemble(range);
        proof_.steps = k;
        proof_.converged = barrier_ <= least_barrier && proof_.stationarity <= tolerance &&
                           proof_.violation <= 1e-3 * tolerance && proof_.complementarity <= 0.1 * tolerance;
        if (proof_.converged || k == most_steps) break;
        if (still >= most_still || proof_.stationarity * (1 + largest_) <= 10 * barrier_ ||
            (proof_.stationarity <= tolerance && barrier_ > least_barrier)) {
            if (barrier_ <= least_barrier) {
                proof_.converged =
                    proof_.violation <= 1e-3 * tolerance && proof_.complementarity <= 0.1 * tolerance;
                break;
            }
            still = 0;
            barrier_ = std::max(least_barrier, std::min(0.2 * barrier_, std::pow(barrier_, 1.5)));
            continue;
        }
        if (!band_.factor()) break;
        band_.solve(step_);
        range.tasks().each(count_, [&](int, int first, int end) {
            for (int t = first; t < end; ++t)
                find_steps(range, t);
        });
        const double before = cost_with_barrier(range);
        const bool fell = descend(range);
        still =
            before - cost_with_barrier(range) <= (1e-7 + 1e-4 * barrier_) * std::fabs(before) ? still + 1 : 0;
        if (!fell || last_length_ < 0.1) {
            if (stiffness_ >= stiffest) break;
            stiffness_ = std::max(first_stiffness, stiffer * stiffness_);
        } else if (last_length_ > 0.5) {
            stiffness_ = stiffness_ > first_stiffness ? softer * stiffness_ : 0;
        }
    }
    return proof_;
}

} // namespace aplomb
