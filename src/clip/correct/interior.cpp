// SPDX-License-Identifier: MIT
#include "clip/correct/interior.h"

#include <Eigen/Core>

#include <algorithm>
#include <cmath>

namespace aplomb {
namespace {

constexpr double near = 2;    // units: a row has a gap where it is nearer to its bound
constexpr double longest = 3; // of a step, in sigmas
// A violated limit is mended afterwards, and mending accelerates the frame, which counts 100 times as far as it moves.
constexpr double kept = 1e-3;
constexpr double least_barrier = 1e-4; // of the tolerance
constexpr double again_barrier = 1e-6;
constexpr double shorter = 0.5, longer = 1.05;
constexpr double immovable = 1e12;
constexpr int most_halvings = 8;
constexpr double jam = 0.01;
constexpr int most_jammed = 10; // steps one after another

} // namespace

void Interior::lay_out(Layout& layout, const Figure& figure, const Range& range, bool ring) {
    const ProblemSize size = size_for(room_for(figure));
    n_ = range.variables(), count_ = range.count();
    own_rows_ = size.rows;
    rows_ = size.rows + 2 * size.variables;
    const size_t frames = static_cast<size_t>(count_), n = static_cast<size_t>(n_);
    band_.lay_out(layout, count_, n_, ring, range.tasks());
    gradient_ = layout.take<double>(frames * n);
    step_ = layout.take<double>(frames * n);
    hold_ = layout.take<Hold>(frames * rows_);
    give_ = layout.take<Give>(frames);
}

/// Limits and bounds near their end: visit(hold, value, gradient line or NULL, variable, sign).
template<class Visit>
void Interior::each_limit(const Range& range, int t, Visit visit) const {
    const Moment& f = range[t];
    const PoseProblem& problem = *f.problem;
    for (int k = 0; k < f.near_count; ++k) {
        const int row = f.near_index[k];
        if (!problem.is_support(row))
            visit(holds(t)[row], f.at.row[row], f.near_row + k * range.stride(), 0, 0.0);
    }
    for (int i = 0; i < problem.size(); ++i) {
        Hold* bound = holds(t) + own_rows_ + 2 * i;
        const double low = f.at.y[i] - problem.lowest()[i], high = problem.highest()[i] - f.at.y[i];
        if (f.reduction.sigma[i] <= 0) continue;
        if (low < near) visit(bound[0], low, nullptr, i, 1.0);
        if (high < near) visit(bound[1], high, nullptr, i, -1.0);
    }
}

/// Every pair of gap and multiplier.
template<class Visit>
void Interior::each_pair(const Range& range, int t, Visit visit) const {
    for (size_t i = 0; i < rows_; ++i) {
        Hold& hold = holds(t)[i];
        if (hold.is_near) visit(hold);
    }
    if (range[t].support.bounds.count > 0) visit(give_[t].own);
}
template<class Visit>
void Interior::each_pair(const Range& range, Visit visit) const {
    for (int t = 0; t < count_; ++t)
        each_pair(range, t, visit);
}

void Interior::choose_barrier() {
    double sum = 0;
    int pairs = 0;
    for (int t = 0; t < count_; ++t)
        sum += give_[t].product, pairs += give_[t].pairs;
    if (pairs == 0) return;
    const double part = last_length_ > 0.9 ? 0.05 : last_length_ > 0.6 ? 0.2 : 0.6;
    barrier_ = std::max(part * sum / pairs, least_barrier_);
}

/// Moves gaps or multipliers away from zero, so that a run can begin where another ended.
void Interior::stand_off(const Range& range) {
    barrier_ = again_barrier;
    each_pair(range, [&](Hold& hold) {
        if (hold.gap * hold.multiplier >= barrier_) return;
        if (hold.gap < hold.multiplier)
            hold.gap = barrier_ / hold.multiplier;
        else
            hold.multiplier = barrier_ / hold.gap;
    });
}

void Interior::take_in(Hold& hold, double value) {
    if (hold.gap <= 0) {
        hold.gap = std::max(value, start_.gap);
        hold.multiplier = barrier_ / hold.gap;
    }
    hold.is_near = true;
}

/// What the row's gradient is multiplied with on the right-hand side.
double Interior::push_of(const Hold& hold, double value) const {
    if (surely_) return barrier_ / hold.gap;
    return barrier_ / hold.gap - hold.multiplier / hold.gap * (value - hold.gap);
}

// ---- The matrix ----------------------------------------------------------------------------------------------

void Interior::assemble(Range& range) {
    const Tasks& tasks = range.tasks();
    tasks.each(count_, [&](int task, int first, int end) {
        for (int t = first; t < end; ++t) {
            add_frame(range, task, t);
            hold_edges(range, t);
            for (size_t i = 0; i < rows_; ++i)
                if (!holds(t)[i].is_near) holds(t)[i] = {}; // rows that are far again are forgotten
        }
    });
    // A frame's neighbours reach into it, so each task does those next to its own frames as well, in the same order.
    Left left[Tasks::most];
    const auto couple = [&](int task, int first, int end) {
        const Part part = {first, end};
        for (int t = first - 1; t <= end; ++t)
            add_motion(range, t, part);
        for (int t = std::max(first - 1, 0); t < std::min(end + 1, count_); ++t)
            add_edges(range, t, part);
        for (int t = first; t < end; ++t)
            leave_out(range, t), measure(range, t, left[task]);
    };
    if (range.grid().ring)
        couple(0, 0, count_);
    else
        tasks.each(count_, couple);
    Left most;
    for (const Left& l : left) {
        most.largest = std::max(most.largest, l.largest), most.worst = std::max(most.worst, l.worst);
        most.apart = std::max(most.apart, l.apart), most.both = std::max(most.both, l.both);
    }
    largest_ = most.largest;
    proof_.stationarity = most.worst / (1 + largest_);
    proof_.violation = most.apart;
    proof_.complementarity = most.both / (1 + largest_);
}

/// A variable that a frame does not have stays as it is keyed.
void Interior::leave_out(const Range& range, int t) {
    double *gradient = gradient_ + t * n_, *step = step_ + t * n_;
    for (int i = 0; i < n_; ++i) {
        if (!range[t].has[i]) gradient[i] = step[i] = 0;
        step[i] -= gradient[i];
    }
}

void Interior::add_frame(Range& range, int task, int t) {
    band_.clear(t);
    std::fill_n(gradient_ + t * n_, n_, 0.0);
    std::fill_n(step_ + t * n_, n_, 0.0);
    double matrix[max_variables * max_variables];
    if (surely_) find_curvature(range, task, t, matrix);
    Derivatives& d = range.differentiate(task, t, near);
    Moment& f = range[t];
    const PoseProblem& problem = *f.problem;
    const int size = problem.size();
    Hold* hold = holds(t);
    for (size_t i = 0; i < rows_; ++i)
        hold[i].is_near = false;
    each_limit(range, t, [&](Hold& h, double value, const double*, int, double) {
        if (surely_)
            hold_surely(h, gap_at(value, price_of(f)), price_of(f));
        else
            take_in(h, value);
    });

    double multiplier[most_rows(max_limbs)] = {};
    for (int i = f.support.bounds.count; i < problem.row_count(); ++i)
        if (hold[i].is_near) multiplier[i] = pull_of(hold[i]) / f.weight;
    problem.add_curves(f.at, multiplier, d);

    Eigen::Map<Eigen::MatrixXd> own(matrix, size, size);
    if (!surely_) {
        own.setZero();
        for (int k = 0; k < d.jacobian_count; ++k) {
            const double* j = d.jacobian + k * d.stride;
            for (int c = 0; c < d.width[k]; ++c) {
                const double part = j[c];
                if (part == 0) continue;
                for (int r = c; r < d.width[k]; ++r)
                    own(r, c) += part * j[r];
            }
        }
        own *= f.weight;
        for (int i = 0; i < size; ++i)
            own(i, i) += f.weight;
    }
    for (int i = 0; i < size; ++i)
        own(i, i) += f.weight * stiffness_;
    double* gradient = gradient_ + t * n_;
    for (int i = 0; i < size; ++i)
        gradient[f.place_of[i]] += f.weight * d.gradient[i];
    add_limits(range, t, matrix);

    const Band::Block block = band_.block(t, t);
    for (int c = 0; c < size; ++c) {
        for (int r = c; r < size; ++r) {
            const int a = f.place_of[r], b = f.place_of[c];
            block(std::max(a, b), std::min(a, b)) += own(r, c);
        }
    }
    for (int i = 0; i < n_; ++i)
        if (!f.has[i]) block(i, i) += immovable;
}

void Interior::add_limits(const Range& range, int t, double* matrix) {
    const Moment& f = range[t];
    const int size = f.problem->size();
    double *gradient = gradient_ + t * n_, *right = step_ + t * n_;
    each_limit(range, t, [&](const Hold& h, double value, const double* line, int variable, double sign) {
        const double rate = rate_of(f, h, value), pull = pull_of(h), push = push_of(h, value) - pull;
        if (!line) {
            const int at = f.place_of[variable];
            matrix[variable * (size + 1)] += rate;
            gradient[at] -= pull * sign;
            right[at] += push * sign;
            return;
        }
        for (int c = 0; c < size; ++c) {
            const double part = rate * line[c];
            for (int r = c; part != 0 && r < size; ++r)
                matrix[r + c * size] += part * line[r];
            gradient[f.place_of[c]] -= pull * line[c];
            right[f.place_of[c]] += push * line[c];
        }
    });
}

void Interior::add_motion(const Range& range, int t, const Part& part) {
    double second[most_places];
    const Range::Ties all = range.ties(t);
    if (all.count == 0) return;
    range.second_difference(all, second);
    for (int p = 0; p < all.count; ++p) {
        const Range::Tie& a = all.tie[p];
        if (!part.has(a.frame)) continue;
        double* gradient = gradient_ + a.frame * n_;
        const double weight = all.cell * a.weight;
        for (int i = 6; i < n_; ++i)
            gradient[i] += weight * a.part[i] * second[i];
        const Vec3 shift = transposed_times(a.shift, {second[0], second[1], second[2]}),
                   turn = transposed_times(a.turn, {second[3], second[4], second[5]});
        for (int i = 0; i < 3; ++i)
            gradient[i] += weight * shift[i], gradient[3 + i] += weight * turn[i];
        for (int q = 0; q <= p; ++q) {
            const Range::Tie& b = all.tie[q];
            const double both = weight * b.weight;
            const Band::Block block = band_.block(a.frame, b.frame);
            for (int i = 6; i < n_; ++i)
                block(i, i) += both * a.part[i] * b.part[i];
            const Mat3 shifts = transpose(a.shift) * b.shift, turns = transpose(a.turn) * b.turn;
            for (int i = 0; i < 3; ++i) {
                for (int j = 0; j < 3; ++j) {
                    block(i, j) += both * shifts.row[i][j];
                    block(3 + i, 3 + j) += both * turns.row[i][j];
                }
            }
        }
    }
}

namespace {

/// How the balance point in motion follows the variables of up to three frames; 2 lines each, shared places.
struct PointLines {
    int count = 0, frame[3];
    double line[3][2][most_places];
};

PointLines point_lines(const Range& range, int t) {
    PointLines all;
    const Moment& f = range[t];
    const Grid& grid = range.grid();
    const auto add = [&](int other, double weight) {
        if (other < 0) return;
        const Moment& o = range[other];
        auto& line = all.line[all.count];
        all.frame[all.count++] = other;
        const Vec2 fore = range.owned(f, {1, 0}) * (-f.sway * weight),
                   left = range.owned(f, {0, 1}) * (-f.sway * weight);
        double own[2][max_variables];
        const int size = o.problem->size();
        for (int i = 0; i < size; ++i) {
            const double a = o.way_gradient[i], b = o.way_gradient[range.stride() + i];
            own[0][i] = fore.fore * a + left.fore * b;
            own[1][i] = fore.left * a + left.left * b;
            if (other == t)
                own[0][i] += f.point_gradient[i], own[1][i] += f.point_gradient[range.stride() + i];
        }
        range.gather(o, own[0], line[0]);
        range.gather(o, own[1], line[1]);
    };
    const Grid::Second d = grid.second(t, f.sway);
    add(t, d.own);
    add(grid.before(t), d.before);
    add(grid.after(t), d.after);
    return all;
}

} // namespace

/// The support's rows, on the balance point.
void Interior::hold_edges(const Range& range, int t) {
    const Moment& f = range[t];
    const int edges = f.support.bounds.count;
    if (edges == 0) return;
    Give& give = give_[t];
    Hold* hold = holds(t);
    if (surely_) {
        hold_surely(give.own, slack_at(range, t), f.weight * f.problem->support_price());
    } else if (give.own.gap <= 0) {
        give.own.gap = range.short_of(f) + start_.gap;
        give.own.multiplier = barrier_ / give.own.gap;
    }
    const double slack = give.own.gap;
    Vec2 pull, push;
    double curvature[3] = {};
    give.follows = {};
    give.curvature = give.own.multiplier / slack;
    give.push = barrier_ / slack - f.weight * f.problem->support_price();
    for (int i = 0; i < edges; ++i) {
        const double value = range.edge(f, i) + slack;
        if (!surely_ && value - slack >= near && hold[i].gap <= 0) continue;
        if (surely_)
            hold_surely(hold[i], value, INFINITY);
        else
            take_in(hold[i], value);
        const Vec2 line = f.support.bounds.normal[f.problem->row(i).index] * -f.problem->row(i).rate;
        const double rate = hold[i].multiplier / hold[i].gap, force = push_of(hold[i], value);
        pull = pull + line * pull_of(hold[i]);
        push = push + line * (force - pull_of(hold[i]));
        give.follows = give.follows + line * rate;
        give.curvature += rate;
        give.push += force;
        curvature[0] += rate * line.fore * line.fore;
        curvature[1] += rate * line.fore * line.left;
        curvature[2] += rate * line.left * line.left;
    }
    push = push - give.follows * (give.push / give.curvature);
    curvature[0] -= give.follows.fore * give.follows.fore / give.curvature;
    curvature[1] -= give.follows.fore * give.follows.left / give.curvature;
    curvature[2] -= give.follows.left * give.follows.left / give.curvature;
    give.plane_pull = pull, give.plane_push = push;
    std::copy_n(curvature, 3, give.plane_curvature);
}

void Interior::add_edges(const Range& range, int t, const Part& part) {
    if (range[t].support.bounds.count == 0) return;
    const Vec2 pull = give_[t].plane_pull, push = give_[t].plane_push;
    const double* curvature = give_[t].plane_curvature;
    const PointLines lines = point_lines(range, t);
    for (int p = 0; p < lines.count; ++p) {
        double *gradient = gradient_ + lines.frame[p] * n_, *right = step_ + lines.frame[p] * n_;
        const auto& a = lines.line[p];
        for (int i = 0; i < n_ && part.has(lines.frame[p]); ++i) {
            gradient[i] -= pull.fore * a[0][i] + pull.left * a[1][i];
            right[i] += push.fore * a[0][i] + push.left * a[1][i];
        }
        for (int q = 0; q <= p; ++q) {
            const auto& b = lines.line[q];
            if (!part.has(std::max(lines.frame[p], lines.frame[q]))) continue;
            const Band::Block block = band_.block(lines.frame[p], lines.frame[q]);
            for (int c = 0; c < n_; ++c) {
                const double u = curvature[0] * b[0][c] + curvature[1] * b[1][c],
                             v = curvature[1] * b[0][c] + curvature[2] * b[1][c];
                for (int r = 0; r < n_; ++r)
                    block(r, c) += u * a[0][r] + v * a[1][r];
            }
        }
    }
}

void Interior::measure(const Range& range, int t, Left& left) const {
    const Moment& f = range[t];
    each_pair(range, t, [&](const Hold& hold) {
        left.largest = std::max(left.largest, pull_of(hold) / f.weight);
        left.both = std::max(left.both, hold.gap * pull_of(hold) / f.weight);
    });
    for (int i = 0; i < n_; ++i)
        left.worst = std::max(left.worst, std::fabs(gradient_[t * n_ + i]) / f.weight);
    each_limit(range, t, [&](const Hold& h, double value, const double*, int, double) {
        left.apart = std::max(left.apart, std::fabs(value - h.gap));
    });
    if (f.support.bounds.count == 0) return;
    double price = f.weight * f.problem->support_price() - pull_of(give_[t].own);
    for (int i = 0; i < f.support.bounds.count; ++i) {
        const Hold& h = holds(t)[i];
        if (!h.is_near) continue;
        left.apart = std::max(left.apart, std::fabs(range.edge(f, i) + give_[t].own.gap - h.gap));
        price -= pull_of(h);
    }
    left.worst = std::max(left.worst, std::fabs(price) / f.weight);
}

// ---- The step ------------------------------------------------------------------------------------------------

Vec2 Interior::point_step(const Range& range, int t) const {
    const PointLines lines = point_lines(range, t);
    Vec2 change;
    for (int p = 0; p < lines.count; ++p) {
        const double* step = step_ + lines.frame[p] * n_;
        for (int i = 0; i < n_; ++i)
            change = change + Vec2{lines.line[p][0][i], lines.line[p][1][i]} * step[i];
    }
    return change;
}

void Interior::finish_hold(Hold& hold, double value, double rate, double change) {
    hold.gap_step = change + value - hold.gap;
    hold.multiplier_step = push_of(hold, value) - hold.multiplier - rate * change;
}

void Interior::find_steps(const Range& range, int t) {
    const Moment& f = range[t];
    const double* step = step_ + t * n_;
    each_limit(range, t, [&](Hold& h, double value, const double* line, int variable, double sign) {
        double change = 0;
        if (line)
            for (int i = 0; i < f.problem->size(); ++i)
                change += line[i] * step[f.place_of[i]];
        else
            change = sign * step[f.place_of[variable]];
        finish_hold(h, value, rate_of(f, h, value), change);
    });
    if (f.support.bounds.count == 0) return;
    Give& give = give_[t];
    const Vec2 change = point_step(range, t);
    const double slack_step = (give.push - dot(give.follows, change)) / give.curvature;
    for (int i = 0; i < f.support.bounds.count; ++i) {
        Hold& h = holds(t)[i];
        if (!h.is_near) continue;
        const Vec2 line = f.support.bounds.normal[f.problem->row(i).index] * -f.problem->row(i).rate;
        finish_hold(h, range.edge(f, i) + give.own.gap, h.multiplier / h.gap, dot(line, change) + slack_step);
    }
    give.own.gap_step = slack_step;
    give.own.multiplier_step =
        barrier_ / give.own.gap - give.own.multiplier - give.own.multiplier / give.own.gap * slack_step;
}

double Interior::length(const Range& range) const {
    double most[Tasks::most];
    std::fill_n(most, Tasks::most, 1.0);
    range.tasks().each(count_, [&](int task, int first, int end) {
        for (int t = first; t < end; ++t)
            most[task] = std::min(most[task], length(range, t));
    });
    return *std::min_element(most, most + Tasks::most);
}

double Interior::length(const Range& range, int t) const {
    double most = 1, largest = 0;
    const double part = std::max(0.9, 1 - barrier_);
    for (int i = 0; i < n_; ++i)
        largest = std::max(largest, std::fabs(step_[t * n_ + i]));
    if (largest > longest) most = longest / largest;
    each_pair(range, t, [&](const Hold& h) {
        if (h.gap_step < 0) most = std::min(most, -part * h.gap / h.gap_step);
        if (h.multiplier_step < 0) most = std::min(most, -part * h.multiplier / h.multiplier_step);
    });
    return most;
}

void Interior::take_step(Range& range, double length) {
    range.tasks().each(count_, [&](int, int first, int end) {
        for (int t = first; t < end; ++t)
            take_step(range, t, length);
    });
}

void Interior::take_step(Range& range, int t, double length) {
    Moment& f = range[t];
    for (int i = 0; i < f.problem->size(); ++i)
        f.at.y[i] += length * step_[t * n_ + f.place_of[i]];
    Give& give = give_[t];
    give.product = 0, give.pairs = 0;
    each_pair(range, t, [&](Hold& h) {
        h.gap += length * h.gap_step;
        h.multiplier += length * h.multiplier_step;
        give.product += h.gap * h.multiplier, ++give.pairs;
    });
}

/// At the end of a run only the curvature that the matrix leaves out still delays convergence: steps that are too long
/// oscillate.
void Interior::damp(double before) {
    if (barrier_ > least_barrier_) return;
    damping_ = proof_.stationarity > before ? shorter * damping_ : std::min(1.0, longer * damping_);
}

Proof Interior::go_on(Range& range, double tolerance, int most_steps, Ticker& ticker) {
    surely_ = false, stiffness_ = 0;
    stand_off(range);
    return run(range, tolerance, most_steps, ticker);
}

Proof Interior::run(Range& range, double tolerance, int most_steps, const Start& start, Ticker& ticker) {
    start_ = start;
    surely_ = false, stiffness_ = 0;
    std::fill_n(hold_, static_cast<size_t>(count_) * rows_, Hold{});
    std::fill_n(give_, count_, Give{});
    barrier_ = start.barrier;
    return run(range, tolerance, most_steps, ticker);
}

Proof Interior::run(Range& range, double tolerance, int most_steps, Ticker& ticker) {
    least_barrier_ = least_barrier * tolerance;
    last_length_ = 1;
    proof_ = {};
    if (!range.evaluate()) return proof_;
    damping_ = 1;
    double before = INFINITY;
    int jammed = 0;
    for (int k = 0; k <= most_steps; ++k) {
        proof_.ended = !ticker.goes_on();
        if (proof_.ended) break;
        if (k > 0) choose_barrier();
        assemble(range);
        proof_.steps = k;
        proof_.converged = proof_.stationarity <= tolerance && proof_.violation <= kept * tolerance &&
                           proof_.complementarity <= 0.1 * tolerance;
        if (proof_.converged || k == most_steps) break;
        damp(before);
        before = proof_.stationarity;
        if (!band_.factor()) break;
        band_.solve(step_);
        range.tasks().each(count_, [&](int, int first, int end) {
            for (int t = first; t < end; ++t)
                find_steps(range, t);
        });
        double part = std::min(length(range), damping_);
        last_length_ = part;
        jammed = part < jam ? jammed + 1 : 0; // or damped to nothing
        if (jammed == most_jammed) break;
        take_step(range, part);
        for (int halving = 0; !range.evaluate(); ++halving) {
            if (halving == most_halvings) return proof_;
            take_step(range, -part / 2);
            part /= 2;
        }
    }
    return proof_;
}

} // namespace aplomb
