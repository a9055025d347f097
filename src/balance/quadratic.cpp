// SPDX-License-Identifier: MIT
#include "balance/quadratic.h"

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
    for (double** line : {&start_, &in_basis_, &step_, &dual_step_, &multiplier_})
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

Quadratic::Choice Quadratic::most_violated(const QuadraticRow* rows, int row_count, const double* lowest,
                                           const double* highest, const double* d) const {
    Choice worst;
    const auto consider = [&](int row, double violation, double size) {
        if (violation <= row_tolerance * (1.0 + size) || violation <= worst.violation) return;
        for (int k = 0; k < active_count_; ++k) {
            if (active_[k] == row) return;
        }
        worst = {row, violation};
    };
    for (int i = 0; i < row_count; ++i)
        consider(i, rows[i].least - dot_n(rows[i].normal, d, size_), std::fabs(rows[i].least));
    for (int i = 0; i < size_; ++i) {
        consider(row_count + 2 * i, lowest[i] - d[i], std::fabs(lowest[i]));
        consider(row_count + 2 * i + 1, d[i] - highest[i], std::fabs(highest[i]));
    }
    return worst;
}

/// in_basis_ = J' normal.
void Quadratic::into_basis(const QuadraticRow* rows, int row_count, int row) {
    const int n = size_;
    if (row >= row_count) {
        const int i = (row - row_count) / 2;
        const double sign = (row - row_count) % 2 == 0 ? 1.0 : -1.0;
        for (int j = 0; j < n; ++j)
            in_basis_[j] = sign * basis_[i * most_ + j];
        return;
    }
    std::fill(in_basis_, in_basis_ + n, 0.0);
    for (int i = 0; i < n; ++i) {
        const double a = rows[row].normal[i];
        if (a == 0) continue;
        for (int j = 0; j < n; ++j)
            in_basis_[j] += a * basis_[i * most_ + j];
    }
}

/// Turns the free part of in_basis_ onto its first axis and takes the row in.
void Quadratic::add_active(int row, double multiplier) {
    const int n = size_, q = active_count_;
    for (int j = n - 1; j > q; --j) {
        const double a = in_basis_[j - 1], b = in_basis_[j];
        if (b == 0) continue;
        const double h = std::sqrt(a * a + b * b), c = a / h, s = b / h;
        in_basis_[j - 1] = h, in_basis_[j] = 0;
        for (int i = 0; i < n; ++i) {
            double* row_i = basis_ + i * most_;
            const double u = row_i[j - 1], v = row_i[j];
            row_i[j - 1] = c * u + s * v;
            row_i[j] = c * v - s * u;
        }
    }
    std::copy(in_basis_, in_basis_ + q + 1, column(q));
    active_[q] = row;
    multiplier_[q] = multiplier;
    ++active_count_;
}

void Quadratic::drop_active(int position) {
    const int n = size_, q = --active_count_;
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
        for (int i = 0; i < n; ++i) {
            double* row_i = basis_ + i * most_;
            const double u = row_i[k], v = row_i[k + 1];
            row_i[k] = c * u + s * v;
            row_i[k + 1] = c * v - s * u;
        }
    }
}

Quadratic::Outcome Quadratic::solve(const double* gradient, QuadraticRow* rows, int row_count,
                                    const double* lowest, const double* highest, double* d,
                                    double* bound_multiplier) {
    const int n = size_;
    free_minimum(gradient, d);
    for (int i = 0; i < row_count; ++i)
        rows[i].multiplier = 0;
    std::fill(bound_multiplier, bound_multiplier + n, 0.0);
    active_count_ = 0;
    bool basis_ready = false;
    Outcome outcome = Outcome::stalled;
    for (int round = 0; round < 10 * (n + 10); ++round) {
        const Choice choice = most_violated(rows, row_count, lowest, highest, d);
        if (choice.row < 0) {
            outcome = Outcome::solved;
            break;
        }
        if (!basis_ready) { // J = L^-T, only now that it is needed
            for (int j = 0; j < n; ++j) {
                for (int i = 0; i < j; ++i)
                    basis_[j * most_ + i] = 0;
                for (int i = j; i < n; ++i) { // column j of L^-1 is row j of J
                    double sum = i == j ? 1.0 : 0.0;
                    for (int k = j; k < i; ++k)
                        sum -= line(i)[k] * basis_[j * most_ + k];
                    basis_[j * most_ + i] = sum / line(i)[i];
                }
            }
            basis_ready = true;
        }
        double violation = choice.violation, multiplier = 0;
        bool taken = false;
        while (!taken) {
            into_basis(rows, row_count, choice.row);
            const int q = active_count_;
            // The way to go in d, and what it does to the multipliers of the rows already active.
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
                for (int i = 0; i < n; ++i)
                    d[i] += t * dot_n(basis_ + i * most_ + q, in_basis_ + q, n - q);
                violation -= t * free2;
            }
            if (full <= longest) {
                add_active(choice.row, multiplier);
                taken = true;
            } else {
                drop_active(blocking);
            }
        }
    }
    for (int k = 0; k < active_count_; ++k) {
        const int row = active_[k];
        if (row < row_count)
            rows[row].multiplier = multiplier_[k];
        else
            bound_multiplier[(row - row_count) / 2] +=
                (row - row_count) % 2 == 0 ? multiplier_[k] : -multiplier_[k];
    }
    return outcome;
}

} // namespace aplomb
