// SPDX-License-Identifier: MIT
// Middle joints of limbs that stand or are held stay as bent as they are keyed, and by what a load makes knees give:
// 1/2 ((theta(d) - theta_hat) / sigma_theta)^2, where straightening costs more than bending. A foot that rides with its hip
// joint has as much less of it. Elbows bend as their load asks.
#pragma once

#include "pose/term.h"

namespace aplomb {

class BendTerm {
public:
    static constexpr Residuals most = {0, 1};
    static constexpr OptionLine options[] = {
        option("knee_bend", &aplomb_options::knee_bend, 10 * degree, 1e-4, 10, radians,
               "how freely a fixed limb's middle joint bends"),
        option("knee_straighten", &aplomb_options::knee_straighten, 4 * degree, 1e-4, 10, radians,
               "how freely it straightens")};

    explicit BendTerm(const TermInput& in)
        : r_(in.model.reduction()), carriage_(in.carriage), bend_(in.options.knee_bend),
          straighten_(in.options.knee_straighten) {}

    int count() const { return r_.limb_count; }
    void values(const ModelState& state, double* out) const {
        for (int i = 0; i < r_.limb_count; ++i) {
            const TwoSpan& span = r_.limb[i].span;
            const double change = smooth_bend(state.limb[i].span.used, span.length) - wished(i);
            out[i] = change * part(i) / (change > 0 ? bend_ : straighten_);
        }
    }
    void push(const ModelState& state, int k, double weight, Push& push) const {
        const TwoSpan& keyed = r_.limb[k].span;
        const TwoSpanState& span = state.limb[k].span;
        const double bend = smooth_bend(span.used, keyed.length);
        const double sigma = bend > wished(k) ? bend_ : straighten_;
        push.distance(k, weight * part(k) * smooth_bend_slope(bend, keyed.length) * span.slope / sigma);
    }

private:
    double wished(int i) const { return r_.limb[i].span.bend + carriage_.bend[r_.limb[i].limb]; }
    double part(int i) const { return r_.limb[i].holds_load ? 0.0 : 1.0 - r_.limb[i].ride; }

    const Reduction& r_;
    const Carriage& carriage_;
    double bend_, straighten_;
};

} // namespace aplomb
