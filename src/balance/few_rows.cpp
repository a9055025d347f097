// SPDX-License-Identifier: MIT
#include "balance/few_rows.h"

#include <algorithm>
#include <cmath>

#include "balance/dense.h"

namespace aplomb {
namespace {

constexpr int most_rounds = 6;
constexpr double row_tolerance = 1e-12;

} // namespace

void FewRows::lay_out(Layout& layout, int most_variables) {
    most_ = most_variables;
    inverse_row_ = layout.take<double>(static_cast<size_t>(most_guessed * most_));
    free_ = layout.take<double>(static_cast<size_t>(most_));
}

/// The Cholesky factor of I + J J'.
void FewRows::factor() {
    for (int k = 0; k < count_; ++k) {
        double* row = gram_[k];
        for (int c = 0; c <= k; ++c)
            row[c] = dot_n(jacobian_ + k * stride_, jacobian_ + c * stride_, size_);
        for (int c = 0; c < k; ++c)
            row[c] = (row[c] - dot_n(row, gram_[c], c)) * diagonal_[c];
        diagonal_[k] = 1.0 / std::sqrt(1.0 + row[k] - dot_n(row, row, k));
    }
}

void FewRows::apply_inverse(const double* v, double* out) const {
    double pull[most_residuals];
    for (int k = 0; k < count_; ++k)
        pull[k] = (dot_n(jacobian_ + k * stride_, v, size_) - dot_n(gram_[k], pull, k)) * diagonal_[k];
    for (int k = count_ - 1; k >= 0; --k) {
        for (int c = k + 1; c < count_; ++c)
            pull[k] -= gram_[c][k] * pull[c];
        pull[k] *= diagonal_[k];
    }
    std::copy(v, v + size_, out);
    for (int k = 0; k < count_; ++k)
        add_scaled(out, -pull[k], jacobian_ + k * stride_, size_);
}

/// normal . v of a row or bound.
double FewRows::along(const double* v, int row) const {
    if (row < row_count_) return dot_n(rows_[row].normal, v, size_);
    const double value = v[(row - row_count_) / 2];
    return (row - row_count_) % 2 == 0 ? value : -value;
}

double FewRows::least_of(int row) const {
    if (row < row_count_) return rows_[row].least;
    const int i = (row - row_count_) / 2;
    return (row - row_count_) % 2 == 0 ? lowest_[i] : -highest_[i];
}

bool FewRows::add(int row) {
    if (guessed_ == most_guessed) return false;
    double* out = inverse_row_ + guessed_ * most_;
    if (row < row_count_) {
        apply_inverse(rows_[row].normal, out);
    } else {
        std::fill(free_, free_ + size_, 0.0);
        free_[(row - row_count_) / 2] = (row - row_count_) % 2 == 0 ? 1.0 : -1.0;
        apply_inverse(free_, out);
    }
    guess_[guessed_++] = {row, 0.0};
    return true;
}

/// Multipliers with which all guessed rows hold exactly; false where the rows depend on each other.
bool FewRows::find_multipliers(const double* free) {
    double s[most_guessed][most_guessed], m[most_guessed];
    for (int k = 0; k < guessed_; ++k) {
        for (int c = 0; c <= k; ++c)
            s[k][c] = along(inverse_row_ + c * most_, guess_[k].row);
        const double own = s[k][k];
        m[k] = least_of(guess_[k].row) - along(free, guess_[k].row);
        for (int c = 0; c < k; ++c)
            s[k][c] = (s[k][c] - dot_n(s[k], s[c], c)) / s[c][c];
        const double left = own - dot_n(s[k], s[k], k);
        if (!(left > 1e-10 * own)) return false;
        s[k][k] = std::sqrt(left);
        m[k] = (m[k] - dot_n(s[k], m, k)) / s[k][k];
    }
    for (int k = guessed_ - 1; k >= 0; --k) {
        for (int c = k + 1; c < guessed_; ++c)
            m[k] -= s[c][k] * m[c];
        m[k] /= s[k][k];
        guess_[k].multiplier = m[k];
    }
    return true;
}

/// Drops guesses that pull the wrong way and adds what `d` violates.
bool FewRows::correct_guess(double* d, bool& settled) {
    settled = true;
    int kept = 0;
    for (int k = 0; k < guessed_; ++k) {
        if (guess_[k].multiplier < 0) continue;
        if (kept != k)
            std::copy(inverse_row_ + k * most_, inverse_row_ + k * most_ + size_,
                      inverse_row_ + kept * most_);
        guess_[kept++] = guess_[k];
    }
    settled = kept == guessed_;
    guessed_ = kept;
    for (int row = 0; row < row_count_ + 2 * size_; ++row) {
        const double least = least_of(row);
        if (along(d, row) >= least - row_tolerance * (1.0 + std::fabs(least))) continue;
        if (std::any_of(guess_, guess_ + kept, [row](const Guess& g) { return g.row == row; })) continue;
        settled = false;
        if (!add(row)) return false;
    }
    return true;
}

bool FewRows::solve(const double* jacobian, int count, int stride, int size, const double* gradient,
                    QuadraticRow* rows, int row_count, const double* lowest, const double* highest, double* d,
                    double* bound_multiplier) {
    jacobian_ = jacobian, count_ = count, stride_ = stride, size_ = size;
    rows_ = rows, row_count_ = row_count, lowest_ = lowest, highest_ = highest;
    factor();
    double unconstrained[max_variables];
    apply_inverse(gradient, unconstrained);
    for (int i = 0; i < size; ++i)
        d[i] = unconstrained[i] = -unconstrained[i];

    guessed_ = 0;
    bool settled = false;
    for (int round = 0; !settled; ++round) {
        if (round == most_rounds || !correct_guess(d, settled)) return false;
        if (settled) break;
        if (!find_multipliers(unconstrained)) return false;
        std::copy(unconstrained, unconstrained + size, d);
        for (int k = 0; k < guessed_; ++k)
            add_scaled(d, guess_[k].multiplier, inverse_row_ + k * most_, size);
    }
    for (int i = 0; i < row_count; ++i)
        rows[i].multiplier = 0;
    std::fill(bound_multiplier, bound_multiplier + size, 0.0);
    for (int k = 0; k < guessed_; ++k) {
        const int row = guess_[k].row, bound = (row - row_count) / 2;
        if (row < row_count)
            rows[row].multiplier = guess_[k].multiplier;
        else
            bound_multiplier[bound] +=
                (row - row_count) % 2 == 0 ? guess_[k].multiplier : -guess_[k].multiplier;
    }
    return true;
}

} // namespace aplomb
