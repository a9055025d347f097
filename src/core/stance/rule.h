// SPDX-License-Identifier: MIT
// When a part of a sole stands: the rule that whole clips and the run time have in common. Heights are over the
// part's own ground and of the leg's length, speeds against the ground and of sqrt(g leg); the numbers were measured
// on recorded walks and stand against force plates (tests/clip).
#pragma once

#include "aplomb/aplomb.h"

namespace aplomb {

struct TouchRule {
    double on_height = .03, on_speed = .20;
    double off_height = .045, off_speed = .30;
    double least_seconds = .08; // what is briefer, touching or not, is noise
};
inline constexpr TouchRule touch_rule;

/// Whether a part stands now that stood before, or did not.
bool touches(bool before, double height, double speed);

/// Of a foot of which either part stands.
aplomb_footing footing_of(bool heel, bool ball);

} // namespace aplomb
