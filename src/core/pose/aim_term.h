// SPDX-License-Identifier: MIT
// The balance point comes to its rest point: with e = sqrt(rho) (p - p*) / sigma_p the residual is
// e sqrt(2 / (1 + sqrt(1 + |e|^2 / 9))), a square near the rest point that turns linear beyond 3 sigma_p, so that what cannot
// be brought there does not pull the whole body out of shape (P. J. Huber, Ann. Math. Stat. 35, 1964; smoothed).
#pragma once

#include <cmath>

#include "pose/term.h"

namespace aplomb {

class AimTerm {
public:
    static constexpr Residuals most = {2, 0};
    static constexpr OptionLine options[] = {
        option("rest", &aplomb_options::rest, 1, 0, 1e6, bare,
               "weight of coming to rest at the rest point; 0: only keep it from falling"),
        option("aim", &aplomb_options::aim, 0.01, 1e-5, 10, of_leg,
               "how far the balance point may stay from the rest point")};

    explicit AimTerm(const TermInput& in)
        : aim_(in.aim.rest_point),
          weight_(std::sqrt(in.options.rest) / (in.options.aim * in.figure.leg_length)) {}

    int count() const { return 2; }
    void values(const ModelState& state, double* out) const {
        const Vec2 e = off(state);
        const double rate = std::sqrt(2.0 / (1.0 + root(e)));
        out[0] = e.fore * rate, out[1] = e.left * rate;
    }
    void push(const ModelState& state, int k, double weight, Push& push) const {
        const Vec2 e = off(state);
        const double s = root(e), rate = std::sqrt(2.0 / (1.0 + s));
        // The rate's own change, along e.
        Vec2 row = e * (-(k == 0 ? e.fore : e.left) / (far2 * rate * s * (1.0 + s) * (1.0 + s)));
        (k == 0 ? row.fore : row.left) += rate;
        push.balance_point(row * (weight * weight_));
    }

private:
    static constexpr double far2 = 3.0 * 3.0;

    Vec2 off(const ModelState& state) const { return (state.balance_point - aim_) * weight_; }
    static double root(const Vec2& e) { return std::sqrt(1.0 + dot(e, e) / far2); }

    Vec2 aim_;
    double weight_;
};

} // namespace aplomb
