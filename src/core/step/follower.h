// SPDX-License-Identifier: MIT
// The correction on its way: every number goes to its target like a critically damped spring, and what a group of them
// goes in one frame is cut to the pace.
#pragma once

#include "step/clock.h"
#include "step/memory.h"

namespace aplomb {

inline constexpr double follower_seconds = 0.05; // its time constant

/// The most that a correction may change in one frame.
struct Stride {
    double hips = 0;  // metres
    double turns = 0; // radians, of the hips, of the whole spine
};

/// Hips, spine and how far a level load is drawn in, from the last frame's targets on, to which they lie on the straight line.
void follow(const Clock& clock, const Stride& stride, const Followed& before, const Followed& target,
            StepMemory& memory);
/// All other numbers.
void follow_own(const Clock& clock, const Stride& stride, const Followed& target, StepMemory& memory);

} // namespace aplomb
