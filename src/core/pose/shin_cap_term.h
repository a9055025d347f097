// SPDX-License-Identifier: MIT
// A shin that comes further ahead of plumb than 25 degrees and what its foot is pitched, or 3 degrees further than it is
// keyed, looks as if it would fall: what is more costs 1 for a degree. By eye.
#pragma once

#include <algorithm>

#include "base/trig.h"
#include "pose/term.h"

namespace aplomb {

class ShinCapTerm {
public:
    static constexpr Residuals most = {0, 1};

    explicit ShinCapTerm(const TermInput& in) : r_(in.model.reduction()), ground_(in.model.key().ground) {
        const Key& s = in.model.key();
        for (int i = 0; i < r_.limb_count; ++i) {
            const FixedLimb& fixed = r_.limb[i];
            const Limb& limb = in.figure.limbs[fixed.limb];
            if (limb.kind != APLOMB_LEG || !fixed.bearing) continue;
            const Vec3 foot = rotate(from_neutral(in.figure, s, limb.end), Vec3{0, 0, 1});
            const double pitch = arcsin(std::clamp(-dot(foot, ground_.normal), 0.0, 1.0));
            const Vec3 shin = s.body.world[limb.lower].position - s.body.world[limb.end].position;
            leg_[count_++] = {i, bearing_of(s.stance, fixed.limb) / sigma,
                              std::max(allowed + pitch, angle(shin) + allowed_more)};
        }
    }

    int count() const { return count_; }
    void values(const ModelState& state, double* out) const {
        for (int k = 0; k < count_; ++k)
            out[k] = std::max(0.0, angle(shin_of(state, leg_[k].limb)) - leg_[k].cap) * leg_[k].weight;
    }
    void push(const ModelState& state, int k, double weight, Push& push) const {
        const Leg& leg = leg_[k];
        const Vec3 shin = shin_of(state, leg.limb);
        if (angle(shin) <= leg.cap || leg.weight <= 0) return;
        const double up = dot(shin, ground_.normal), fore = dot(shin, ground_.fore);
        const Vec3 rate = cross(shin, ground_.fore) * up - cross(shin, ground_.normal) * fore;
        push.lower_turn(leg.limb, rate * (weight * leg.weight / (up * up + fore * fore)));
    }

private:
    static constexpr double allowed = 25 * degree, allowed_more = 3 * degree, sigma = 1 * degree;

    static double bearing_of(const Stance& stance, int limb) {
        for (int i = 0; i < stance.contact_count; ++i)
            if (stance.contact[i].limb == limb) return stance.contact[i].bearing;
        return 0;
    }
    /// Ahead of plumb.
    double angle(const Vec3& shin) const {
        return arctan2(dot(shin, ground_.fore), dot(shin, ground_.normal));
    }
    static Vec3 shin_of(const ModelState& state, int i) {
        return state.limb[i].span.middle - state.limb[i].span.end;
    }

    const Reduction& r_;
    const Ground& ground_;
    struct Leg {
        int limb; // fixed
        double weight, cap;
    } leg_[max_limbs];
    int count_ = 0;
};

} // namespace aplomb
