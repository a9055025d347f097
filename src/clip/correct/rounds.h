// SPDX-License-Identifier: MIT
// A loop has no first frame: its frames counted from another one, so that what is looked at does not lie over its seam.
#pragma once

#include "base/vec.h"

namespace aplomb {

inline constexpr double loop_travels = 0.05; // of the leg: a loop that travels less stays where it is

/// How far a thing at these places travels in one round of a loop: the vector with which its path is smoothest over the
/// seam, or zero where that is shorter than `least`.
Vec3 cycle_travel(const Vec3* places, int count, double least);

struct Rounds {
    int count = 0, start = 0; // the frame with which places begin

    int frame(int place) const { return (place + start) % count; }
    int place(int frame) const { return (frame - start + count) % count; }
    /// Whether its frame is one of the next round.
    bool is_next(int place) const { return place + start >= count; }
};

} // namespace aplomb
