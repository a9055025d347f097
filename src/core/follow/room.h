// SPDX-License-Identifier: MIT
// How far joints may be turned before they meet their limits and the chain's.
#pragma once

#include "follow/plan.h"

namespace aplomb {

/// No more than the room from a component of a joint's turn to either limit, times the cosine of half its swing: without an
/// arctangent, for a component is 2 to pi times as large as its half-angle's sine. `sine` is that, times the cosine as well.
template<class Number>
Number least_room(const Number& lowest, const Number& highest, const Number& sine, const Number& cosine) {
    const Number nearer = 2.0 * sine, further = pi * sine;
    return lesser(highest * cosine - greater(nearer, further), lesser(nearer, further) - lowest * cosine);
}
/// Of a turn that needs less than half of the room nothing is taken, and up to the largest swing that is measured a component
/// changes by less than 1.5 / cosine times the turn. So that room, times the cosine and over the turn, is enough.
inline constexpr double ample_room = 3;

/// The turns of two joints, shortened to what limits leave of each whose `spare` is below zero.
Vec3Pair shortened(const Figure& figure, const FollowChain& chain, int32_t pair, QuatPair keyed,
                   Vec3Pair turn, Pair spare);

} // namespace aplomb
