// SPDX-License-Identifier: MIT
// All that a reading finds, still in metres and the figure's own axes.
#pragma once

#include "reading/lines.h"
#include "reading/reads_as.h"
#include "reading/shares.h"
#include "reading/sunk.h"
#include "reading/tip.h"

namespace aplomb {

/// A sentence with the number that bears it out.
struct Cue {
    double value;
    char text[120];
};

struct Findings {
    Vec3 centre; // of figure and loads
    double total_mass = 0;
    bool in_balance = false; // the margin is at least the one asked for
    bool presses = false;
    double friction_needed = 0; // tangential over normal force
    Tip tip;
    Lean lean;
    Sunk sunk{};
    Share share[APLOMB_MAX_CONTACTS]; // per contact of the stance
    ReadsAs load[APLOMB_MAX_LOADS];
    Vec3 line[line_points];
    int cue_count = 0;
    Cue cue[APLOMB_MAX_CUES];
};

} // namespace aplomb
