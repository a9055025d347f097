// SPDX-License-Identifier: MIT
// All that a reading finds, still in metres and the figure's own axes.
#pragma once

#include "reading/lines.h"
#include "reading/reads_as.h"
#include "reading/shares.h"
#include "reading/sunk.h"
#include "reading/tip.h"

namespace aplomb {

struct Findings {
    Vec3 centre; // of figure and loads
    double total_mass = 0;
    Tip tip;
    Lean lean;
    Sunk sunk{};
    Share share[APLOMB_MAX_CONTACTS]; // per contact of the stance
    aplomb_load_reading load[APLOMB_MAX_LOADS];
    Vec3 line[line_points];
};

} // namespace aplomb
