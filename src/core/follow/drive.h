// SPDX-License-Identifier: MIT
// What drives a chain in one frame: how its swing points move.
#pragma once

#include "follow/state.h"
#include "follow/swing_points.h"

namespace aplomb {

/// What has passed between two frames.
struct Passed {
    double seconds, before; // this frame's time and the last one's
    int frames;             // frames that were seen before this one, up to 3
    Vec3 turning;           // of the character, radians a second in the world
};

/// About each of a chain's axes, twice side by side: what a pair of modes is multiplied with. Of an odd number of axes one that
/// is zero follows; beyond it is room for the second axis of a last joint that has none.
struct Torques {
    Pair steady[max_swing_axes + 2], sudden[max_swing_axes + 2]; // `sudden`: what jumps with the frame
};

struct Drive {
    Torques torques;
    Vec3 turning, acceleration; // of the first joint and that one's swing point, in its own frame
};

/// The rate of a small turn, in the frame of what turns.
inline Vec3 rate_of(const Quat& turn, double seconds) {
    return turn.vec() * ((turn.w < 0 ? -2.0 : 2.0) / seconds);
}

/// Finds what drives a chain whose joints are `placed`, which its state then remembers.
void find_drive(const FollowChain& chain, const PlacedPair* placed, const Passed& passed,
                const ChainState& state, Drive& drive);

} // namespace aplomb
