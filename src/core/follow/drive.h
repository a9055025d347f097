// SPDX-License-Identifier: MIT
// What drives a chain in one frame: how its swing points move.
#pragma once

#include <algorithm>

#include "follow/state.h"
#include "follow/swing_points.h"

namespace aplomb {

/// What has passed between two frames.
struct Passed {
    double seconds;
    int frames;                                    // that were seen before this one, up to 3
    Vec3 turning;                                  // of the character, radians a second in the world
    double per_second = 0, per_second_between = 0; // `between`: the middles of this frame and the last
    double per_half_before = 0, ahead = 0;         // of the last frame; half of this one over it

    /// `before`: the last frame's time. A first frame may take no time.
    Passed(double time, double before, int seen) : seconds(time), frames(seen) {
        if (frames == 0) return;
        per_second = 1.0 / seconds, per_second_between = 2.0 / (seconds + before);
        const double last = std::max(before, 1e-4); // no frame is shorter, whatever a caller's state says
        per_half_before = 2.0 / last, ahead = 0.5 * std::min(1.0, seconds / last);
    }
    /// The rate of a small turn, in the frame of what turns.
    Vec3 rate_of(const Quat& turn) const {
        return turn.vec() * (turn.w < 0 ? -2.0 * per_second : 2.0 * per_second);
    }
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

/// Finds what drives a chain whose joints are `placed`, which its state then remembers.
void find_drive(const FollowChain& chain, const PlacedPair* placed, const Passed& passed,
                const ChainState& state, Drive& drive);

} // namespace aplomb
