// SPDX-License-Identifier: MIT
// What is told of a flight that was made to fall freely: how the speed jumps where keys go over into the arc, which time
// in the air would fit, and all of it in a sentence or two.
#pragma once

#include "clip/track.h"

namespace aplomb {

/// `centres` of all frames, as moved, metres; the flight lies between `before` and `after`.
void report_speeds(const Shot& shot, const Vec3* centres, int before, int after, aplomb_arc& to);

/// How many frames lie between the first and the last moment of a flight and its ends: with frames that hold a pose, more
/// than one for each moment.
struct ArcFrames {
    int to_first; // from the frame before
    int to_after;
};
/// Of all else that `to` has; its frames are counted from `number`.
void write_arc_text(const Shot& shot, int number, const ArcFrames& frames, aplomb_arc& to);

} // namespace aplomb
