// SPDX-License-Identifier: MIT
#include "solve/quadratic.h"

#include <algorithm>
#include <cmath>

namespace aplomb {
namespace {

constexpr double row_tolerance = 1e-13; // relative; a row violated by less counts as held
constexpr double dependent = 1e-11;     // relative; a row this near to the active ones' span is one of them

} // namespace

void Quadratic::lay_out(Layout& layout, int most) {
    most_ = most;
    const size_t n = static_cast<size_t>(most);
    factor_ = layout.take<double>(half_size(n));
    basis_ = layout.take<double>(n * n);
    triangle_ = layout.take<double>(half_size(n) + n);
    for (double** line : {&direction_, &in_basis_, &dual_step_, &multiplier_})
        *line = layout.take<double>(n + 1);
    active_ = layout.take<int>(n + 1);
}

bool Quadratic::factor(int size) {
    size_ = size;
    for (int i = 0; i < size; ++i) {
        double* li = line(i);
        for (int j = 0; j < i; ++j)
            li[j] = (li[j] - dot_n(li, line(j), j)) / line(j)[j];
        const double left = li[i] - dot_n(li, li, i);
        if (!(left > 1e-14 * std::fabs(li[i]))) return false;
        li[i] = std::sqrt(left);
    }
    return true;
}

/// d = -B^-1 g by two triangular solves.
void Quadratic::free_minimum(const double* gradient, double* d) const {
    const int n = size_;
    for (int i = 0; i < n; ++i)
        d[i] = (-gradient[i] - dot_n(line(i), d, i)) / line(i)[i];
    for (int i = n - 1; i >= 0; --i) {
        d[i] /= line(i)[i];
        add_scaled(d, -d[i], line(i), i);
    }
}

/// The most violated row or bound of those that held in the last solve, which are likely to hold again; where they
/// all do, of all.
Quadratic::Choice Quadratic::most_violated(const QuadraticRow* rows, int row_count, const double* lowest,
                                           const double* highest, const double* d,
                                           const double* bound_multiplier) const {
    Choice worst, likely;
    const auto consider = [&](int row, double violation, double size, bool held) {
        Choice& best = held ? likely : worst;
        if (violation <= row_tolerance * (1.0 + size) || violation <= best.violation) return;
        if (std::find(active_, active_ + active_count_, row) != active_ + active_count_) return;
        best = {row, violation};
    };
    for (int i = 0; i < row_count; ++i)
        consider(i, rows[i].least - dot_n(rows[i].normal, d, size_), std::fabs(rows[i].least),
                 rows[i].multiplier > 0);
    for (int i = 0; i < size_; ++i) {
        if (d[i] >= lowest[i] && d[i] <= highest[i]) continue; // as are most
        consider(row_count + 2 * i, lowest[i] - d[i], std::fabs(lowest[i]), bound_multiplier[i] > 0);
        consider(row_count + 2 * i + 1, d[i] - highest[i], std::fabs(highest[i]), bound_multiplier[i] < 0);
    }
    return likely.row >= 0 ? likely : worst;
}

/// J = L^-T, of which column j is row j of L^-1.
void Quadratic::make_basis() {
    const int n = size_;
    for (int j = 0; j < n; ++j) {
        double* column = basis(j);
        std::fill(column, column + n, 0.0);
        column[j] = 1.0;
        for (int i = j; i >= 0; --i) {
            column[i] /= line(i)[i];
            add_scaled(column, -column[i], line(i), i);
        }
    }
}

/// in_basis_ = J' normal.
void Quadratic::into_basis(const QuadraticRow* rows, int row_count, int row) {
    const int n = size_;
    if (row < row_count) {
        for (int j = 0; j < n; ++j)
            in_basis_[j] = dot_n(basis(j), rows[row].normal, n);
        return;
    }
    const int i = (row - row_count) / 2;
    const double sign = (row - row_count) % 2 == 0 ? 1.0 : -1.0;
    for (int j = 0; j < n; ++j)
        in_basis_[j] = sign * basis(j)[i];
}

/// direction_ = J times the free part of in_basis_.
void Quadratic::find_direction() {
    std::fill(direction_, direction_ + size_, 0.0);
    for (int j = active_count_; j < size_; ++j)
        add_scaled(direction_, in_basis_[j], basis(j), size_);
}

/// Reflects the free part of in_basis_, of size `free`, onto its first axis and takes the row in; after find_direction().
void Quadratic::add_active(int row, double multiplier, double free) {
    const int n = size_, q = active_count_;
    double* v = in_basis_ + q;
    if (q < n - 1) {
        const double first = v[0] > 0 ? -free : free;
        const double scale = 1.0 / (free * (free + std::fabs(v[0]))); // 2 / v'v
        v[0] -= first;
        add_scaled(direction_, -first, basis(q), n); // now J v
        for (int j = q; j < n; ++j)
            add_scaled(basis(j), -scale * in_basis_[j], direction_, n);
        v[0] = first;
    }
    std::copy(in_basis_, in_basis_ + q + 1, column(q));
    active_[q] = row;
    multiplier_[q] = multiplier;
    ++active_count_;
}

void Quadratic::drop_active(int position) {
    const int q = --active_count_;
    for (int k = position; k < q; ++k) {
        active_[k] = active_[k + 1];
        multiplier_[k] = multiplier_[k + 1];
        std::copy(column(k + 1), column(k + 1) + k + 2, column(k));
    }
    for (int k = position; k < q; ++k) { // back to triangular
        const double a = column(k)[k], b = column(k)[k + 1];
        const double h = std::sqrt(a * a + b * b);
        if (h == 0) continue;
        const double c = a / h, s = b / h;
        for (int j = k; j < q; ++j) {
            const double u = column(j)[k], v = column(j)[k + 1];
            column(j)[k] = c * u + s * v;
            column(j)[k + 1] = c * v - s * u;
        }
        turn_together(basis(k), basis(k + 1), c, s, size_);
    }
}

Quadratic::Outcome Quadratic::solve(const double* gradient, QuadraticRow* rows, int row_count,
                                    const double* lowest, const double* highest, double* d,
                                    double* bound_multiplier) {
    const int n = size_;
    free_minimum(gradient, d);
    active_count_ = 0;
    bool basis_ready = false;
    Outcome outcome = Outcome::stalled;
    for (int round = 0; round < 10 * (n + 10); ++round) {
        const Choice choice = most_violated(rows, row_count, lowest, highest, d, bound_multiplier);
        if (choice.row < 0) {
            outcome = Outcome::solved;
            break;
        }
        if (!basis_ready) make_basis(); // only now that it is needed
        basis_ready = true;
        double violation = choice.violation, multiplier = 0;
        bool taken = false;
        while (!taken) {
            into_basis(rows, row_count, choice.row);
            const int q = active_count_;
            // The direction to go in, and what it does to the multipliers of the rows already active.
            const double free2 = dot_n(in_basis_ + q, in_basis_ + q, n - q);
            const double all2 = free2 + dot_n(in_basis_, in_basis_, q);
            std::copy(in_basis_, in_basis_ + q, dual_step_);
            for (int k = q - 1; k >= 0; --k) {
                dual_step_[k] /= column(k)[k];
                add_scaled(dual_step_, -dual_step_[k], column(k), k);
            }
            double longest = 1e300;
            int blocking = -1;
            for (int k = 0; k < q; ++k) {
                if (dual_step_[k] > 0 && multiplier_[k] / dual_step_[k] < longest)
                    longest = multiplier_[k] / dual_step_[k], blocking = k;
            }
            const bool can_move = free2 > dependent * dependent * all2;
            const double full = can_move ? violation / free2 : 1e300;
            const double t = std::min(longest, full);
            if (t > 1e299) return Outcome::infeasible;
            for (int k = 0; k < q; ++k)
                multiplier_[k] -= t * dual_step_[k];
            multiplier += t;
            if (can_move) {
                find_direction();
                add_scaled(d, t, direction_, n);
                violation -= t * free2;
            }
            if (full <= longest) {
                add_active(choice.row, multiplier, std::sqrt(free2));
                taken = true;
            } else {
                drop_active(blocking);
            }
        }
    }
    tell_multipliers(rows, row_count, bound_multiplier);
    return outcome;
}

void Quadratic::tell_multipliers(QuadraticRow* rows, int row_count, double* bound_multiplier) const {
    for (int i = 0; i < row_count; ++i)
        rows[i].multiplier = 0;
    for (int i = 0; i < size_; ++i)
        bound_multiplier[i] = 0;
    for (int k = 0; k < active_count_; ++k) {
        const int row = active_[k], bound = (row - row_count) / 2;
        if (row < row_count)
            rows[row].multiplier = multiplier_[k];
        else
            bound_multiplier[bound] += (row - row_count) % 2 == 0 ? multiplier_[k] : -multiplier_[k];
    }
}

} // namespace aplomb
