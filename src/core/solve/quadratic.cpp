// SPDX-License-Identifier: MIT
#include "solve/quadratic.h"

#include <algorithm>
#include <cmath>

namespace aplomb {
namespace {

constexpr double row_tolerance = 1e-13; // relative; a row violated by less counts as held
constexpr double dependent = 1e-11;     // relative; a row this near to the active ones' span is one of them
constexpr double guessable = 1e-5;      // the same, of a row that is only guessed
// Parts of a square: where less is left off the span, rounding is taken off by a second pass (B. Parlett, The Symmetric
// Eigenvalue Problem, 1980, ch. 6.9: twice is enough).
constexpr double cancelled = 0.01;

} // namespace

void Quadratic::lay_out(Layout& layout, int most) {
    most_ = most;
    const size_t n = static_cast<size_t>(most);
    factor_ = layout.take<double>(half_size(n));
    basis_ = layout.take<double>(n * n);
    triangle_ = layout.take<double>(half_size(n) + n);
    for (double** line : {&inverse_, &free_, &at_, &image_, &along_, &dual_step_, &multiplier_})
        *line = layout.take<double>(n + 1);
    active_ = layout.take<int>(n + 1);
}

bool Quadratic::factor(int size) {
    size_ = size;
    for (int i = 0; i < size; ++i) {
        double* li = line(i);
        for (int j = 0; j < i; ++j)
            li[j] = (li[j] - dot_n(li, line(j), j)) * inverse_[j];
        const double left = li[i] - dot_n(li, li, i);
        if (!(left > 1e-14 * std::fabs(li[i]))) return false;
        li[i] = std::sqrt(left);
        inverse_[i] = 1.0 / li[i];
    }
    return true;
}

double Quadratic::Given::least_of(int row) const {
    if (row < row_count) return rows[row].least;
    const int i = (row - row_count) / 2;
    return (row - row_count) % 2 == 0 ? lowest[i] : -highest[i];
}

/// u = -L^-1 g
void Quadratic::make_free_minimum(const double* gradient) {
    for (int i = 0; i < size_; ++i)
        free_[i] = (-gradient[i] - dot_n(line(i), free_, i)) * inverse_[i];
}

/// d = L^-T u
void Quadratic::find_step(double* d) const {
    std::copy(at_, at_ + size_, d);
    for (int i = size_ - 1; i >= 0; --i) {
        d[i] *= inverse_[i];
        add_scaled(d, -d[i], line(i), i);
    }
}

Quadratic::Choice Quadratic::most_violated(const Given& given, const double* d) const {
    Choice worst;
    const auto consider = [&](int row, double violation, double size) {
        if (violation <= row_tolerance * (1.0 + size) || violation <= worst.violation) return;
        if (std::find(active_, active_ + active_count_, row) != active_ + active_count_) return;
        worst = {row, violation};
    };
    for (int i = 0; i < given.row_count; ++i) {
        const QuadraticRow& row = given.rows[i];
        consider(i, row.least - dot_n(row.normal, d, size_), std::fabs(row.least));
    }
    for (int i = 0; i < size_; ++i) {
        const double low = given.lowest[i], high = given.highest[i];
        if (d[i] >= low && d[i] <= high) continue; // as are most
        consider(given.row_count + 2 * i, low - d[i], std::fabs(low));
        consider(given.row_count + 2 * i + 1, d[i] - high, std::fabs(high));
    }
    return worst;
}

/// image_ = L^-1 normal
void Quadratic::make_image(const Given& given, int row) {
    const int n = size_;
    if (row < given.row_count) {
        const double* normal = given.rows[row].normal;
        for (int i = 0; i < n; ++i)
            image_[i] = (normal[i] - dot_n(line(i), image_, i)) * inverse_[i];
        return;
    }
    const int first = (row - given.row_count) / 2;
    std::fill(image_, image_ + first, 0.0);
    image_[first] = (row - given.row_count) % 2 == 0 ? inverse_[first] : -inverse_[first];
    for (int i = first + 1; i < n; ++i)
        image_[i] = -dot_n(line(i) + first, image_ + first, i - first) * inverse_[i];
}

/// Takes from image_ what lies in the active rows' span, which along_ tells; returns the square of what is left, and of the
/// whole.
double Quadratic::split_image(double& whole) {
    const int n = size_;
    whole = dot_n(image_, image_, n);
    std::fill(along_, along_ + active_count_, 0.0);
    double left = whole;
    for (int pass = 0; pass == 0 || (pass == 1 && left < cancelled * whole); ++pass) {
        for (int k = 0; k < active_count_; ++k) {
            const double part = dot_n(basis(k), image_, n);
            along_[k] += part;
            add_scaled(image_, -part, basis(k), n);
        }
        left = dot_n(image_, image_, n);
    }
    return left;
}

/// Takes in the row of image_ once it is split.
void Quadratic::add_active(int row, double multiplier, double left) {
    const int q = active_count_++;
    std::copy(along_, along_ + q, column(q));
    column(q)[q] = left;
    double* vector = basis(q);
    std::fill(vector, vector + size_, 0.0);
    add_scaled(vector, 1.0 / left, image_, size_);
    active_[q] = row;
    multiplier_[q] = multiplier;
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

void Quadratic::guess(const Given& given, int row) {
    if (active_count_ == size_) return;
    make_image(given, row);
    double whole = 0;
    const double left = split_image(whole);
    if (left > guessable * guessable * whole) add_active(row, 0, std::sqrt(left));
}

/// The rows and bounds that have a multiplier.
void Quadratic::guess(const Given& given) {
    active_count_ = 0;
    for (int row = 0; row < given.row_count; ++row) {
        if (given.rows[row].multiplier > 0) guess(given, row);
    }
    for (int i = 0; i < size_; ++i) {
        const double m = given.bound_multiplier[i];
        if (m != 0) guess(given, given.row_count + 2 * i + (m < 0));
    }
}

/// Multipliers with which all active rows hold exactly: u = free + Qw, where R'Q'u is what they ask for and R times the
/// multipliers is w, which along_ keeps.
void Quadratic::find_multipliers(const Given& given) {
    const int q = active_count_;
    for (int k = 0; k < q; ++k)
        dual_step_[k] = (given.least_of(active_[k]) - dot_n(column(k), dual_step_, k)) / column(k)[k];
    for (int k = 0; k < q; ++k)
        multiplier_[k] = along_[k] = dual_step_[k] - dot_n(basis(k), free_, size_);
    for (int k = q - 1; k >= 0; --k) {
        multiplier_[k] /= column(k)[k];
        add_scaled(multiplier_, -multiplier_[k], column(k), k);
    }
}

/// Drops guesses that pull the wrong way; true where there were any.
bool Quadratic::drop_pulling() {
    const int before = active_count_;
    for (int k = before - 1; k >= 0; --k) {
        if (multiplier_[k] < 0) drop_active(k);
    }
    return active_count_ < before;
}

/// u where the active rows hold, after find_multipliers().
void Quadratic::leave_free_minimum() {
    std::copy(free_, free_ + size_, at_);
    for (int k = 0; k < active_count_; ++k)
        add_scaled(at_, along_[k], basis(k), size_);
}

/// Makes a violated row hold; others that would pull on the way are dropped. False where nothing keeps to them all.
bool Quadratic::take(const Given& given, Choice choice) {
    double violation = choice.violation, multiplier = 0;
    for (;;) {
        make_image(given, choice.row);
        double whole = 0;
        const double left = split_image(whole);
        const int q = active_count_;
        // image_ is the direction to go in; what it does to the multipliers of the rows already active:
        std::copy(along_, along_ + q, dual_step_);
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
        const bool can_move = q < size_ && left > dependent * dependent * whole;
        const double full = can_move ? violation / left : 1e300;
        const double t = std::min(longest, full);
        if (t > 1e299) return false;
        add_scaled(multiplier_, -t, dual_step_, q);
        multiplier += t;
        if (can_move) {
            add_scaled(at_, t, image_, size_);
            violation -= t * left;
        }
        if (full <= longest) {
            add_active(choice.row, multiplier, std::sqrt(left));
            return true;
        }
        drop_active(blocking);
    }
}

Quadratic::Outcome Quadratic::solve(const double* gradient, QuadraticRow* rows, int row_count,
                                    const double* lowest, const double* highest, double* d,
                                    double* bound_multiplier) {
    const Given given = {rows, row_count, lowest, highest, bound_multiplier};
    make_free_minimum(gradient);
    guess(given);
    do
        find_multipliers(given);
    while (drop_pulling());
    leave_free_minimum();
    Outcome outcome = Outcome::stalled;
    for (int round = 0; round < 10 * (size_ + 10); ++round) {
        find_step(d);
        const Choice choice = most_violated(given, d);
        if (choice.row < 0) {
            outcome = Outcome::solved;
            break;
        }
        if (!take(given, choice)) return Outcome::infeasible;
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
