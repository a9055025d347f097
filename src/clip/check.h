// SPDX-License-Identifier: MIT
// A clip as it comes in. Poses are checked frame by frame when they are read.
#pragma once

#include "clip/track.h"

namespace aplomb {

aplomb_status check_clip(const aplomb_figure& figure, const aplomb_clip& clip, aplomb_error* error);

/// The part of a carried load's weight that the body bears in a frame: 0 outside its range.
double carried_part(const Shot& shot, const aplomb_carry& carry, int frame);

} // namespace aplomb
