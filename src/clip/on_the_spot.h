// SPDX-License-Identifier: MIT
// Stances of a walk or run on the spot, over ground that moves.
//
// Feet that are keyed so seldom keep the ground's pace: in the walks and gallops of game characters they go between a
// tenth and three times as fast as it while they stand, sink into it by a tenth of the leg's length, and a run has them
// down for three frames. What tells them from feet that swing is height, that they neither rise nor fall, and which way
// they go: swinging feet go against the ground. So the rule's speed is here that of rising, and what a sole lacks of
// going along with the ground. All soles share one level: on the spot there are no stairs. Where the soles do keep the
// ground's pace, as recorded ones do, that is asked of them as on ground at rest.
#pragma once

#include "clip/stances.h"

namespace aplomb {

/// The ground moves, and the body does not go along.
bool is_on_the_spot(const Shot& shot, const Track& track);

/// Which parts stand. `room`: a number for every part in every frame.
void find_stances_on_the_spot(const Shot& shot, const Track& track, double* room, Stances& stances);

} // namespace aplomb
