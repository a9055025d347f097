// SPDX-License-Identifier: MIT
// What aplomb balance found out.
#pragma once

#include <string>

#include "cli/character.h"
#include "cli/situation.h"

namespace aplomb::cli {

struct Correction {
    aplomb_status status = APLOMB_OK;
    Moment pose; // the corrected one
    aplomb_options options;
    aplomb_result result;
    aplomb_reading before, after;
    std::string explanation;
};

Correction correct(const Character& character, const Moment& moment, const Situation& situation,
                   const Options& options);

} // namespace aplomb::cli
