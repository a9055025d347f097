// SPDX-License-Identifier: MIT
// A small dense quadratic programme, minimise 1/2 d'Bd + g'd subject to a_i'd >= b_i and bounds on d, by the
// dual active-set method of D. Goldfarb and A. Idnani, Mathematical Programming 27 (1983). It starts at the
// free minimum and takes in one violated row after another, so a problem with few active rows costs little
// more than a factorisation.
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
    /// bounds that have a multiplier already are tried first; they keep it where the programme is infeasible.
    Outcome solve(const double* gradient, QuadraticRow* rows, int row_count, const double* lowest,
                  const double* highest, double* d, double* bound_multiplier);

private:
    struct Choice {
        int row = -1; // >= row_count: a bound, row_count + 2 i (+ 1 for the upper one)
        double violation = 0;
    };
    Choice most_violated(const QuadraticRow* rows, int row_count, const double* lowest, const double* highest,
                         const double* d, const double* bound_multiplier) const;
    void make_basis();
    void into_basis(const QuadraticRow* rows, int row_count, int row);
    void find_direction();
    void add_active(int row, double multiplier, double free);
    void drop_active(int position);
    void tell_multipliers(QuadraticRow* rows, int row_count, double* bound_multiplier) const;
    void free_minimum(const double* gradient, double* d) const;
    const double* line(int i) const { return half_line(factor_, i); }
    /// Column j of J.
    double* basis(int j) { return basis_ + j * most_; }
    /// Column k of R, with room for one number below its diagonal.
    double* column(int k) { return triangle_ + k * (k + 3) / 2; }

    int size_ = 0, most_ = 0, active_count_ = 0;
    double *factor_ = nullptr, *basis_ = nullptr, *triangle_ = nullptr; // B and then L, J = L^-T, R
    double *direction_ = nullptr, *in_basis_ = nullptr, *dual_step_ = nullptr, *multiplier_ = nullptr;
    int* active_ = nullptr;
};

} // namespace aplomb
