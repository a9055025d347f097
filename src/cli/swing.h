// SPDX-License-Identifier: MIT
// Loads that hang from a hand and swing as it goes.
#pragma once

#include <string>
#include <vector>

#include "aplomb/follow.h"
#include "cli/frames.h"

namespace aplomb::cli {

/// One load over all frames; metres, the file's axes.
struct Swing {
    aplomb_load load;
    std::string word; // as it was written
    std::vector<aplomb_hanging_result> frames;
};

/// `rotations` are those of the frames, followed. An arm that holds what hangs is turned at its shoulder so that
/// its hand is plumb below it in every frame: its own swing would throw the load about. `damping`: --swing, or
/// empty.
std::vector<Swing> swing_loads(const Character& character, const Frames& frames,
                               std::vector<double>& rotations, const std::vector<std::string>& loads,
                               const std::string& damping);

} // namespace aplomb::cli
