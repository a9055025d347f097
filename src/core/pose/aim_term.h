// SPDX-License-Identifier: MIT
// The balance point comes to its rest point: 1/2 rho |p - p*|^2 / sigma_p^2.
#pragma once

#include <cmath>

#include "pose/term.h"

namespace aplomb {

class AimTerm {
public:
    static constexpr int most = 2;
    static constexpr OptionLine options[] = {
        option("rest", &aplomb_options::rest, 1, 0, 1e6, bare,
               "weight of coming to rest at the rest point; 0: only keep it from falling"),
        option("aim", &aplomb_options::aim, 0.01, 1e-5, 10, of_leg,
               "how far the balance point may stay from the rest point")};

    explicit AimTerm(const TermInput& in)
        : aim_(in.rest.aim), weight_(std::sqrt(in.options.rest) / (in.options.aim * in.figure.leg_length)) {}

    int count() const { return 2; }
    void values(const ModelState& state, double* out) const {
        const Vec2 off = state.balance_point - aim_;
        out[0] = off.fore * weight_, out[1] = off.left * weight_;
    }
    void push(const ModelState&, int k, double weight, Push& push) const {
        push.balance_point(k == 0 ? Vec2{weight * weight_, 0} : Vec2{0, weight * weight_});
    }

private:
    Vec2 aim_;
    double weight_;
};

} // namespace aplomb
