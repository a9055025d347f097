// SPDX-License-Identifier: MIT
// What aplomb balance found out.
#pragma once

#include <string>

#include "aplomb/foot.h"
#include "cli/character.h"
#include "cli/situation.h"

namespace aplomb::cli {

struct Correction {
    aplomb_status status = APLOMB_OK;
    Moment pose; // the corrected one
    aplomb_options options;
    aplomb_result result;
    aplomb_reading before, after;
    aplomb_foot_suggestion foot;
    std::string foot_moved; // --move-foot: what it did
    std::string explanation;
};

Correction correct(const Character& character, const Moment& moment, const Situation& situation,
                   const Options& options);

} // namespace aplomb::cli
