// SPDX-License-Identifier: MIT
// Stances of a walk or run on the spot, over ground that moves.
//
// Feet keyed on the spot do not often keep the ground's pace: in walks and gallops of game characters they go between a
// tenth and three times as fast as it while they stand, sink into it by a tenth of the leg's length, and a run has them
// down for three frames. What tells them from feet that swing is height, that they neither rise nor fall, and which way
// they go: swinging feet go against the ground. So the rule's speed is here the speed of rising together with the lag of
// a sole behind the ground. All soles share one level: on the spot there are no stairs. Where the soles do keep the
// ground's pace, as recorded ones do, they have to, as on ground at rest.
#pragma once

#include "clip/stances.h"

namespace aplomb {

/// Whether the ground moves and the body does not go along with it.
bool is_on_the_spot(const Shot& shot, const Track& track);

/// Finds which parts stand. `room` holds a number for every part in every frame.
void find_stances_on_the_spot(const Shot& shot, const Track& track, double* room, Stances& stances);

} // namespace aplomb
