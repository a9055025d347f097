// SPDX-License-Identifier: MIT
#include "model/limb_turns.h"

#include "model/swing_twist.h"

namespace aplomb {
namespace {

/// A joint's turn since the key, so that its rotation against its parent stays within its limits.
Quat give(const Figure& figure, const Key& s, int joint, const Quat& parent_turn, const Quat& turn) {
    const Quat parent_keyed = from_neutral(figure, s, figure.joints[joint].carrier);
    const Quat keyed = from_neutral(figure, s, joint);
    const Quat parent = parent_turn * parent_keyed;
    const Quat now = conjugate(parent) * turn * keyed;
    const Quat allowed = within(now, conjugate(parent_keyed) * keyed, figure.joints[joint].limits);
    return parent * allowed * conjugate(keyed);
}

} // namespace

LimbTurns limb_turns(const Figure& figure, const Key& key, const FixedLimb& fixed, const Quat& base_turn,
                     const Quat& end_turn, const TwoSpanState& state) {
    const Limb& limb = figure.limbs[fixed.limb];
    LimbTurns t;
    t.upper = to_quat(upper_turn(fixed.span, state));
    t.lower = to_quat(lower_turn(fixed.span, state));
    if (fixed.bearing) return t;
    if (fixed.holds_load) {
        t.end = give(figure, key, limb.end, t.lower, end_turn);
        return t;
    }
    const Quat upper = give(figure, key, limb.upper, base_turn, t.upper);
    t.lower = upper * conjugate(t.upper) * t.lower; // the middle keeps its bend
    t.upper = upper;
    t.end = give(figure, key, limb.end, t.lower, end_turn);
    return t;
}

} // namespace aplomb
