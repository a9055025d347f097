// SPDX-License-Identifier: MIT
// A small dense quadratic programme, minimise 1/2 d'Bd + g'd subject to a_i'd >= b_i and bounds on d, by the
// dual active-set method of D. Goldfarb and A. Idnani, Mathematical Programming 27 (1983). With B = LL' and
// u = L'd it seeks the u nearest to -L^-1 g that keeps to (L^-1 a_i)'u >= b_i, and keeps a basis of the active
// rows' span alone. It starts where the rows that held before hold, those that would pull left out, and
// takes in one violated row after another; so where the guess was right it costs little more than a factorisation.
#pragma once

#include "base/block.h"
#include "solve/dense.h"

namespace aplomb {

struct QuadraticRow {
    const double* normal = nullptr;
    double least = 0;      // b
    double multiplier = 0; // filled by solve
};

class Quadratic {
public:
    enum class Outcome { solved, infeasible, stalled };

    /// Room for `most` variables.
    void lay_out(Layout& layout, int most);

    /// Line i of B's lower half, i + 1 numbers, for the caller to fill.
    double* line(int i) { return half_line(factor_, i); }
    /// Factors B in place. False where it is not positive definite; its lines are lost then, too.
    bool factor(int size);
    /// `lowest`, `highest`: bounds on d. `bound_multiplier[i]` > 0 pushes d_i up (at its lowest), < 0 down. Rows and
    /// bounds that have a multiplier already are the first guess; they keep it where the programme is infeasible.
    Outcome solve(const double* gradient, QuadraticRow* rows, int row_count, const double* lowest,
                  const double* highest, double* d, double* bound_multiplier);

private:
    /// The programme at hand. A row >= row_count is a bound, row_count + 2 i (+ 1 for the upper one).
    struct Given {
        const QuadraticRow* rows;
        int row_count;
        const double *lowest, *highest, *bound_multiplier;
        double least_of(int row) const;
    };
    struct Choice {
        int row = -1;
        double violation = 0;
    };
    Choice most_violated(const Given& given, const double* d) const;
    void make_free_minimum(const double* gradient);
    void guess(const Given& given);
    void guess(const Given& given, int row);
    bool drop_pulling();
    void find_multipliers(const Given& given);
    void leave_free_minimum();
    bool take(const Given& given, Choice choice);
    void make_image(const Given& given, int row);
    double split_image(double& whole);
    void add_active(int row, double multiplier, double left);
    void drop_active(int position);
    void find_step(double* d) const;
    void tell_multipliers(QuadraticRow* rows, int row_count, double* bound_multiplier) const;
    const double* line(int i) const { return half_line(factor_, i); }
    /// Basis vector j of the active rows' span, column j of Q with L^-1 times their normals = QR.
    double* basis(int j) { return basis_ + j * most_; }
    /// Column k of R, with room for one number below its diagonal.
    double* column(int k) { return triangle_ + k * (k + 3) / 2; }

    int size_ = 0, most_ = 0, active_count_ = 0;
    double *factor_ = nullptr, *inverse_ = nullptr; // B and then L; inverses of its diagonal
    double *basis_ = nullptr, *triangle_ = nullptr; // Q, R
    double *free_ = nullptr, *at_ = nullptr;        // u of the free minimum, and here
    double *image_ = nullptr, *along_ = nullptr;    // of one row: L^-1 normal, off the span and along it
    double *dual_step_ = nullptr, *multiplier_ = nullptr;
    int* active_ = nullptr;
};

} // namespace aplomb
