// SPDX-License-Identifier: MIT
// A chest that has turned by 22 degrees looks as strained as it can: what is more costs 1 for 1.5 degrees. By eye.
#pragma once

#include <algorithm>

#include "pose/term.h"

namespace aplomb {

class ChestCapTerm {
public:
    static constexpr Residuals most = {1, 0};

    explicit ChestCapTerm(const TermInput& in) : link_(in.model.reduction().chest_link) {}

    int count() const { return 1; }
    void values(const ModelState& state, double* out) const {
        out[0] = std::max(0.0, norm(state.chest_turn) - cap) / sigma;
    }
    void push(const ModelState& state, int, double weight, Push& push) const {
        const double turn = norm(state.chest_turn);
        if (turn <= cap) return;
        push.turn(link_, transposed_times(log_jacobian(state.chest_turn), state.chest_turn) *
                             (weight / (turn * sigma)));
    }

private:
    static constexpr double cap = 22 * degree, sigma = 1.5 * degree;

    int link_;
};

} // namespace aplomb
