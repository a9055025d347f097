// SPDX-License-Identifier: MIT
// An open character that closes itself, and the reference files that nobody here made, where they are at hand.
#pragma once

#include "aplomb/files.h"

#include <cstdio>
#include <filesystem>
#include <memory>

namespace made {

struct Close {
    void operator()(aplomb_character* character) const { aplomb_character_close(character); }
};
using Character = std::unique_ptr<aplomb_character, Close>;

inline const std::filesystem::path reference =
    std::filesystem::path(APLOMB_SOURCE_DIR) / "../shared/reference";

/// Says so, loudly.
inline bool reference_is_missing() {
    if (std::filesystem::exists(reference / "SOURCES.md")) return false;
    std::printf("\n*** NOT TESTED: the reference files are not at hand (../shared/reference) ***\n\n");
    return true;
}

} // namespace made
