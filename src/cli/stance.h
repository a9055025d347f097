// SPDX-License-Identifier: MIT
// What every limb end does: the stance that the pose shows, with what the command line says on top.
#pragma once

#include <string>
#include <vector>

#include "cli/character.h"
#include "cli/parts.h"

namespace aplomb::cli {

/// "left-foot", "fore-right"; the end joint's name for a limb of neither side.
std::string limb_word(const Character& character, int32_t limb);
/// "bearing, flat", "held", "free".
std::string hold_text(const Character& character, const aplomb_contact& contact);

/// Contacts of limbs, then patches of other parts, whose points are kept beside them.
struct ChosenStance {
    std::vector<aplomb_contact> contacts;
    std::vector<PatchPoints> points;
};
ChosenStance choose_stance(const Character& character, const Moment& moment,
                           const MomentArguments& arguments);

} // namespace aplomb::cli
