// SPDX-License-Identifier: MIT
// The head keeps its attitude in the world: 1/2 |log R_head|^2 / sigma_h^2.
#pragma once

#include "pose/term.h"

namespace aplomb {

class HeadTerm {
public:
    static constexpr Residuals most = {3, 0};
    static constexpr OptionLine options[] = {option("head", &aplomb_options::head, 10 * degree, 1e-4, 10,
                                                    radians, "how freely the head turns in the world")};

    explicit HeadTerm(const TermInput& in)
        : link_(in.model.reduction().head_link), weight_(1.0 / in.options.head) {}

    int count() const { return link_ >= 0 ? 3 : 0; }
    void values(const ModelState& state, double* out) const {
        for (int a = 0; a < count(); ++a)
            out[a] = state.head_turn[a] * weight_;
    }
    void push(const ModelState& state, int k, double weight, Push& push) const {
        push.turn(link_, state.head_rate.row[k] * (weight * weight_));
    }

private:
    int link_;
    double weight_;
};

} // namespace aplomb
