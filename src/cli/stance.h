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
/// By that word or its end joint's name; else a Failure that begins with `option`. `others`: what else the option takes.
int32_t find_limb(const Character& character, const std::string& option, const std::string& name,
                  const char* others = "");
/// Contacts of limbs and patches of other parts, whose points are kept beside them, in the contacts' order.
struct ChosenStance {
    std::vector<aplomb_contact> contacts;
    std::vector<Patch> patches;
};
/// What a contact does: "bearing, flat", "bearing, by its skin", "held", "free".
std::string hold_text(const Character& character, const ChosenStance& stance, size_t contact);
ChosenStance choose_stance(const Character& character, const Moment& moment,
                           const MomentArguments& arguments);

} // namespace aplomb::cli
