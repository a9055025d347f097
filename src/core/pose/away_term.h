// SPDX-License-Identifier: MIT
// The chest does not lean towards a load at one side: what it leans there, times how one-sided the load is, costs 1 for a degree.
// Common practice, the number by eye.
#pragma once

#include <algorithm>
#include <iterator>

#include "pose/term.h"

namespace aplomb {

class AwayTerm {
public:
    static constexpr Residuals most = {1, 0};

    explicit AwayTerm(const TermInput& in)
        : link_(in.model.reduction().chest_link), axis_(in.model.key().ground.fore),
          away_(-in.carriage.away / sigma) {}

    int count() const { return 1; }
    void values(const ModelState& state, double* out) const { out[0] = std::max(0.0, lean(state)); }
    void push(const ModelState& state, int, double weight, Push& push) const {
        if (lean(state) <= 0) return;
        push.turn(link_, transposed_times(log_jacobian(state.chest_turn), axis_) * (weight * away_));
    }

private:
    static constexpr double sigma = 1 * degree;

    double lean(const ModelState& state) const { return dot(state.chest_turn, axis_) * away_; }

    int link_;
    Vec3 axis_;
    double away_; // per radian of a lean to the right: positive where the load is at the right
};

} // namespace aplomb
