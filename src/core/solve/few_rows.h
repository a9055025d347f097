// SPDX-License-Identifier: MIT
// The quadratic programme of a Gauss-Newton step, H = I + J'J with few residuals, when few rows are active: a
// guess at the active set is corrected until the multipliers agree with it (a primal-dual active set, M.
// Hintermueller, K. Ito and K. Kunisch, SIAM J. Optim. 13(3), 2003). Nothing of size n x n is formed:
//     H^-1 v = v - J' (I + J J')^-1 J v,    u'H^-1 v = u'v - (L^-1 J u)'(L^-1 J v) with LL' = I + J J'.
// Where the guesses do not settle, the caller turns to the dense method (quadratic.h).
#pragma once

#include "solve/problem.h"
#include "solve/quadratic.h"

namespace aplomb {

class FewRows {
public:
    void lay_out(Layout& layout, size_t residuals);

    /// Takes in the residuals' derivatives, which must stay where they are until the last solve with them.
    void factor(const Derivatives& derivatives, int size);
    /// The rows' gradients are new, the residuals' are the same.
    void forget_rows() { guessed_ = 0; }
    /// As Quadratic::solve; false where the guesses do not settle. The rows and bounds that have a multiplier
    /// already are the first guess.
    bool solve(const double* gradient, QuadraticRow* rows, const double* lowest, const double* highest,
               double* d, double* bound_multiplier);

private:
    static constexpr int most_guessed = 10;

    /// An active row, or with row >= row_count a bound: row_count + 2 i (+ 1 for the upper one).
    struct Guess {
        int row;
        double multiplier;
    };
    const double* residual(int k) const { return derivatives_->jacobian + k * derivatives_->stride; }
    int width(int k) const { return derivatives_->width[k]; }
    double* gram(int k) const { return gram_ + k * gram_stride_; }
    double* image(int k) const { return image_ + k * gram_stride_; }
    template<class Along>
    void make_image(Along along, double* out) const;
    double along(const double* v, int row) const;
    double product(int row, int other) const;
    double least_of(int row) const;
    bool is_guessed(int row) const;
    bool add(int row);
    bool start_guess(const double* bound_multiplier);
    bool find_multipliers();
    void find_step(double* d) const;
    bool drop_wrong();
    bool add_violated(const double* d, bool& added);

    // The programme at hand.
    const Derivatives* derivatives_ = nullptr;
    const double *lowest_ = nullptr, *highest_ = nullptr;
    QuadraticRow* rows_ = nullptr;
    int count_ = 0, size_ = 0, row_count_ = 0;

    const double* gradient_ = nullptr;

    int guessed_ = 0;
    Guess guess_[most_guessed];
    double inverse_[most_guessed][most_guessed]; // lower half: guess . H^-1 guess
    double* image_ = nullptr;                    // L^-1 J times each guess and, last, the gradient
    double* gram_ = nullptr;                     // L, lines of gram_stride_
    double diagonal_[most_residuals];            // inverses of its diagonal
    int gram_stride_ = 0;
};

} // namespace aplomb
