// SPDX-License-Identifier: MIT
#include "model/limb_turns.h"

#include <algorithm>

#include "model/swing_twist.h"

namespace aplomb {
namespace {

/// The rotation nearest to `turn` that the limits allow; what the keyed pose exceeds stays allowed.
Quat within(const Quat& turn, const Quat& keyed, const Limits& limits) {
    if (half_swing_cosine(turn) < least_half_swing_cosine) return turn;
    const Vec3 is = swing_twist(turn), was = swing_twist(keyed);
    Vec3 allowed;
    for (int a = 0; a < 3; ++a)
        allowed[a] =
            std::clamp(is[a], std::min(limits.lowest[a], was[a]), std::max(limits.highest[a], was[a]));
    const bool inside = allowed.x == is.x && allowed.y == is.y && allowed.z == is.z;
    return inside ? turn : from_swing_twist(allowed);
}

/// A joint's turn since the key, so that its rotation against its parent stays within its limits.
Quat give(const Figure& figure, const Situation& s, int joint, const Quat& parent_turn, const Quat& turn) {
    const Quat parent_keyed = from_neutral(figure, s, figure.joints[joint].carrier);
    const Quat keyed = from_neutral(figure, s, joint);
    const Quat parent = parent_turn * parent_keyed;
    const Quat now = conjugate(parent) * turn * keyed;
    const Quat allowed = within(now, conjugate(parent_keyed) * keyed, figure.joints[joint].limits);
    return parent * allowed * conjugate(keyed);
}

} // namespace

LimbTurns limb_turns(const Figure& figure, const Situation& situation, const FixedLimb& fixed,
                     const Quat& link_turn, const TwoSpanState& state) {
    const Limb& limb = figure.limbs[fixed.limb];
    LimbTurns t;
    t.upper = to_quat(upper_turn(fixed.span, state));
    t.lower = to_quat(lower_turn(fixed.span, state));
    if (fixed.bearing) return t;
    const Quat upper = give(figure, situation, limb.upper, link_turn, t.upper);
    t.lower = upper * conjugate(t.upper) * t.lower; // the middle keeps its bend
    t.upper = upper;
    t.end = give(figure, situation, limb.end, t.lower, t.end);
    return t;
}

} // namespace aplomb
