// SPDX-License-Identifier: MIT
// A character on the desk, and what it is.
#pragma once

#include <map>
#include <memory>
#include <string>
#include <vector>

#include "aplomb/aplomb.hpp"
#include "aplomb/files.h"
#include "json/json.h"

namespace aplomb::worksheet {

struct CloseCharacter {
    void operator()(aplomb_character* character) const { aplomb_character_close(character); }
};

struct Character {
    std::unique_ptr<aplomb_character, CloseCharacter> handle;
    std::string name; // of the file

    const aplomb_figure* figure() const { return aplomb_character_figure(handle.get()); }
    size_t joints() const { return static_cast<size_t>(aplomb_figure_joint_count(figure())); }
    aplomb_figure_info info() const;
    aplomb_limb_info limb(int32_t limb) const;
    std::vector<double> key_times(int32_t clip) const;
};

/// What a sheet may say wrongly; thrown.
Error wrong(const char* field, const std::string& sentence);
/// An aplomb_take_file: `user` is a std::string.
int32_t take_text(void* user, const void* bytes, size_t size);

Character open_character(const std::string& bytes, const std::string& name,
                         const std::map<std::string, std::string>& beside);
/// JSON: figure, limbs, clips, places, options.
std::string describe(const Character& character);

} // namespace aplomb::worksheet
