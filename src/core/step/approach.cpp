// SPDX-License-Identifier: MIT
#include "step/approach.h"

#include <algorithm>
#include <cmath>

namespace aplomb {
namespace {

constexpr double allowed_violation = 1e-9; // metres or radians
constexpr int halvings = 30;

/// The length of the way of the variables `first` to `end`.
double way(const double* from, const double* to, int first, int end) {
    double sum = 0;
    for (int i = first; i < end; ++i)
        sum += (to[i] - from[i]) * (to[i] - from[i]);
    return std::sqrt(sum);
}

/// The trunk's joints turn about much the same axis, so their ways add up.
double turn_way(const Reduction& r, const double* from, const double* to) {
    double sum = 0;
    for (int b = 0; b < r.block_count; ++b)
        sum += way(from, to, r.block_variable(b), r.block_variable(b) + 3);
    return sum;
}

double part_of_way(const Reduction& r, const Stride& stride, const double* from, const double* to) {
    double part = 1;
    const auto hold = [&part](double length, double most) {
        if (length > most) part = std::min(part, most / length);
    };
    hold(way(from, to, 0, 3), stride.hips);
    hold(way(from, to, 3, 6), stride.turns);
    hold(turn_way(r, from, to), stride.turns);
    return part;
}

/// True where `carried` can be a correction in this reduction.
bool fits(const Reduction& r, const Carried& carried) {
    if (carried.count != r.block_variable(r.block_count)) return false;
    for (int i = 0; i < carried.count; ++i) {
        if (carried.x[i] != 0 && r.sigma[i] <= 0) return false;
    }
    return true;
}

/// True where no correction is left in it.
bool is_still_key(const Carried& carried) {
    return std::all_of(carried.x, carried.x + carried.count, [](double x) { return x == 0; });
}

/// Moves `e` from the still answer back to where the stride ends; returns the part of the way.
double approach(const PoseProblem& problem, const Stride& stride, const Carried& from, Evaluation& e) {
    const Reduction& r = problem.model().reduction();
    const double first = part_of_way(r, stride, from.x, e.state.x);
    if (first >= 1) return 1;
    double still[max_variables];
    std::copy(e.y, e.y + problem.size(), still);
    const auto place = [&](double part) {
        for (int i = 0; i < problem.size(); ++i) { // a swivel is not carried on
            const double was = i < from.count && r.sigma[i] > 0 ? from.x[i] / r.sigma[i] : still[i];
            e.y[i] = was + part * (still[i] - was);
        }
        problem.evaluate(e);
        problem.settle_reach(e);
        return problem.hard_violation(e) <= allowed_violation;
    };
    if (place(first)) return first;
    double low = first, high = 1;
    for (int i = 0; i < halvings; ++i) {
        const double middle = 0.5 * (low + high);
        (place(middle) ? high : low) = middle;
    }
    place(high);
    return high;
}

} // namespace

bool Step::is_still() const {
    return !carried_.running || is_still_key(carried_);
}

void Step::forget() {
    std::fill(carried_.x, carried_.x + carried_.count, 0.0);
}

double Step::lead_to(const PoseProblem& problem, Evaluation& e) {
    const Reduction& r = problem.model().reduction();
    if (is_still_key(carried_)) carried_.count = r.block_variable(r.block_count);
    const bool follows = carried_.running && fits(r, carried_);
    const double way = follows ? approach(problem, stride_, carried_, e) : 1.0;
    carried_.count = r.block_variable(r.block_count);
    std::copy(e.state.x, e.state.x + carried_.count, carried_.x);
    return way;
}

} // namespace aplomb
