// SPDX-License-Identifier: MIT
// Pairs made ready: the library answers the keyed moment, and the answer is compared with the animator's pose.
#pragma once

#include <memory>
#include <vector>

#include "fit/learnt.h"
#include "fit/measure.h"

namespace aplomb::fit {

/// A pair with copies of its poses, in double. Whatever else its situation points to belongs to the caller.
struct Pair {
    aplomb_situation situation;
    std::vector<double> translations, rotations; // keyed
    Measure::Shape wanted;
    Measure::Axes axes;
};

class Pairs {
public:
    Pairs(const aplomb_figure* figure, const aplomb_options& start);
    ~Pairs() { aplomb_solver_destroy(solver_); }
    Pairs(const Pairs&) = delete;
    Pairs& operator=(const Pairs&) = delete;

    /// Adds a pair and checks it by solving its moment once.
    aplomb_status add(const aplomb_pair& given, aplomb_error* error);
    int count() const { return static_cast<int>(pairs_.size()); }

    const Measure& measure() const { return measure_; }
    const std::vector<Learnt>& numbers() const { return numbers_; }
    const aplomb_options& start() const { return start_; }
    int size() const { return static_cast<int>(measure_.parts().size()); }
    int unknowns() const { return static_cast<int>(numbers_.size()); }
    int solves() const { return solves_; }

    /// The differences of the answer from the animator's pose, size() numbers; false where there is no answer.
    bool differences(int pair, const double* logarithms, double* values) const;
    /// The derivatives of those by the logarithm of one number, from a further answer; `here`: the differences at `logarithms`.
    bool derivatives(int pair, const double* logarithms, size_t number, const double* here,
                     double* values) const;

private:
    aplomb_status answer(const Pair& pair, const aplomb_options& options, aplomb_error* error) const;

    aplomb_options start_;
    Measure measure_;
    std::vector<Learnt> numbers_;
    aplomb_solver* solver_ = nullptr;
    std::vector<Pair> pairs_;
    mutable std::vector<double> translations_, rotations_;
    mutable Measure::Shape shape_;
    mutable int solves_ = 0;
};

} // namespace aplomb::fit
