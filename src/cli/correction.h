// SPDX-License-Identifier: MIT
// What aplomb balance found out.
#pragma once

#include <string>

#include "cli/character.h"

namespace aplomb::cli {

struct Correction {
    aplomb_status status = APLOMB_OK;
    Moment pose; // the corrected one
    aplomb_options options;
    aplomb_result result;
    aplomb_reading before, after;
    std::string explanation;
};

} // namespace aplomb::cli
