// SPDX-License-Identifier: MIT
#include "solve/few_rows.h"

#include <algorithm>
#include <cmath>

#include "solve/dense.h"

namespace aplomb {
namespace {

constexpr int most_rounds = 6;
constexpr double row_tolerance = 1e-12;

} // namespace

void FewRows::lay_out(Layout& layout, size_t residuals) {
    gram_stride_ = static_cast<int>(residuals);
    gram_ = layout.take<double>(residuals * residuals);
    image_ = layout.take<double>((most_guessed + 1) * residuals);
}

/// The Cholesky factor of I + J J'.
void FewRows::factor(const Derivatives& derivatives, int size) {
    derivatives_ = &derivatives, count_ = derivatives.jacobian_count, row_count_ = derivatives.near_count;
    size_ = size, guessed_ = 0;
    for (int k = 0; k < count_; ++k) {
        double* row = gram(k);
        for (int c = 0; c <= k; ++c)
            row[c] = dot_n(residual(k), residual(c), std::min(width(k), width(c)));
        for (int c = 0; c < k; ++c)
            row[c] = (row[c] - dot_n(row, gram(c), c)) * diagonal_[c];
        diagonal_[k] = 1.0 / std::sqrt(1.0 + row[k] - dot_n(row, row, k));
    }
}

/// L^-1 J v, of what gives each residual's derivatives times v.
template<class Along>
void FewRows::make_image(Along along, double* out) const {
    for (int k = 0; k < count_; ++k)
        out[k] = (along(k) - dot_n(gram(k), out, k)) * diagonal_[k];
}

/// normal . v of a row or bound.
double FewRows::along(const double* v, int row) const {
    if (row < row_count_) return dot_n(rows_[row].normal, v, size_);
    const double value = v[(row - row_count_) / 2];
    return (row - row_count_) % 2 == 0 ? value : -value;
}

/// normal . normal of two rows or bounds.
double FewRows::product(int row, int other) const {
    if (row < row_count_) return along(rows_[row].normal, other);
    if (other < row_count_) return along(rows_[other].normal, row);
    if ((row - row_count_) / 2 != (other - row_count_) / 2) return 0;
    return row == other ? 1 : -1;
}

double FewRows::least_of(int row) const {
    if (row < row_count_) return rows_[row].least;
    const int i = (row - row_count_) / 2;
    return (row - row_count_) % 2 == 0 ? lowest_[i] : -highest_[i];
}

bool FewRows::is_guessed(int row) const {
    return std::any_of(guess_, guess_ + guessed_, [row](const Guess& g) { return g.row == row; });
}

bool FewRows::add(int row) {
    if (guessed_ == most_guessed) return false;
    double* own = image(guessed_);
    if (row < row_count_)
        make_image([&](int k) { return dot_n(residual(k), rows_[row].normal, width(k)); }, own);
    else
        make_image([&](int k) { return (row - row_count_) / 2 < width(k) ? along(residual(k), row) : 0.0; },
                   own);
    for (int c = 0; c < guessed_; ++c)
        inverse_[guessed_][c] = product(row, guess_[c].row) - dot_n(own, image(c), count_);
    inverse_[guessed_][guessed_] = product(row, row) - dot_n(own, own, count_);
    guess_[guessed_++] = {row, 0.0};
    return true;
}

bool FewRows::start_guess(const double* bound_multiplier) {
    if (guessed_ > 0) return true; // the last solve's, with the same derivatives
    for (int row = 0; row < row_count_; ++row) {
        if (rows_[row].multiplier > 0 && !add(row)) return false;
    }
    for (int i = 0; i < size_; ++i) {
        const double m = bound_multiplier[i];
        if (m != 0 && !add(row_count_ + 2 * i + (m < 0))) return false;
    }
    return true;
}

/// Multipliers with which all guessed rows hold exactly; false where the rows are linearly dependent.
bool FewRows::find_multipliers() {
    double s[most_guessed][most_guessed], m[most_guessed];
    for (int k = 0; k < guessed_; ++k) {
        const int row = guess_[k].row;
        m[k] = least_of(row) + along(gradient_, row) - dot_n(image(k), image(most_guessed), count_);
        for (int c = 0; c < k; ++c)
            s[k][c] = (inverse_[k][c] - dot_n(s[k], s[c], c)) / s[c][c];
        const double left = inverse_[k][k] - dot_n(s[k], s[k], k);
        if (!(left > 1e-10 * inverse_[k][k])) return false;
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

/// d = H^-1 (sum of the guesses times their multipliers - gradient)
void FewRows::find_step(double* d) const {
    double pull[most_residuals];
    for (int k = 0; k < count_; ++k)
        pull[k] = -image(most_guessed)[k];
    for (int i = 0; i < size_; ++i)
        d[i] = -gradient_[i];
    for (int k = 0; k < guessed_; ++k) {
        const Guess& guess = guess_[k];
        const int bound = guess.row - row_count_;
        add_scaled(pull, guess.multiplier, image(k), count_);
        if (bound < 0)
            add_scaled(d, guess.multiplier, rows_[guess.row].normal, size_);
        else
            d[bound / 2] += bound % 2 == 0 ? guess.multiplier : -guess.multiplier;
    }
    for (int k = count_ - 1; k >= 0; --k) {
        pull[k] *= diagonal_[k];
        add_scaled(pull, -pull[k], gram(k), k);
        add_scaled(d, -pull[k], residual(k), width(k));
    }
}

/// Drops guesses that pull the wrong way; true where there were any.
bool FewRows::drop_wrong() {
    int kept = 0, place[most_guessed]; // of each that is kept: where it was
    for (int k = 0; k < guessed_; ++k) {
        if (guess_[k].multiplier < 0) continue;
        if (kept != k) {
            std::copy(image(k), image(k) + count_, image(kept));
            for (int c = 0; c < kept; ++c)
                inverse_[kept][c] = inverse_[k][place[c]];
            inverse_[kept][kept] = inverse_[k][k];
        }
        place[kept] = k;
        guess_[kept++] = guess_[k];
    }
    const bool dropped = kept < guessed_;
    guessed_ = kept;
    return dropped;
}

/// Adds what `d` violates; false where there is no room for it.
bool FewRows::add_violated(const double* d, bool& added) {
    const auto meets = [](double value, double least) {
        return value >= least - row_tolerance * (1.0 + std::fabs(least));
    };
    for (int row = 0; row < row_count_; ++row) {
        const double value = dot_n(rows_[row].normal, d, size_);
        if (value >= rows_[row].least || meets(value, rows_[row].least) || is_guessed(row)) continue;
        added = true;
        if (!add(row)) return false;
    }
    for (int i = 0; i < size_; ++i) {
        if (d[i] >= lowest_[i] && d[i] <= highest_[i]) continue;
        const bool low = !meets(d[i], lowest_[i]);
        if (!low && meets(-d[i], -highest_[i])) continue;
        const int row = row_count_ + 2 * i + !low;
        if (is_guessed(row)) continue;
        added = true;
        if (!add(row)) return false;
    }
    return true;
}

bool FewRows::solve(const double* gradient, QuadraticRow* rows, const double* lowest, const double* highest,
                    double* d, double* bound_multiplier) {
    rows_ = rows, lowest_ = lowest, highest_ = highest;
    gradient_ = gradient;
    make_image([&](int k) { return dot_n(residual(k), gradient, width(k)); }, image(most_guessed));
    if (!start_guess(bound_multiplier)) return false;
    for (int round = 0;; ++round) {
        if (round == most_rounds || !find_multipliers()) return false;
        find_step(d);
        bool changed = drop_wrong();
        if (!add_violated(d, changed)) return false;
        if (!changed) break;
    }
    for (int i = 0; i < row_count_; ++i)
        rows[i].multiplier = 0;
    std::fill(bound_multiplier, bound_multiplier + size_, 0.0);
    for (int k = 0; k < guessed_; ++k) {
        const int row = guess_[k].row, bound = (row - row_count_) / 2;
        if (row < row_count_)
            rows[row].multiplier = guess_[k].multiplier;
        else
            bound_multiplier[bound] +=
                (row - row_count_) % 2 == 0 ? guess_[k].multiplier : -guess_[k].multiplier;
    }
    return true;
}

} // namespace aplomb
