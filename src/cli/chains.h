// SPDX-License-Identifier: MIT
// Which chains follow: those found on the figure, or as --chain says.
#pragma once

#include <string>
#include <vector>

#include "aplomb/follow.h"
#include "cli/frames.h"

namespace aplomb::cli {

struct ChainChoice {
    aplomb_chain chain;
    std::vector<int32_t> joints; // from the first out to the last
    std::string wish;            // as --chain says; empty: found
};

/// Arms that carry a load stay quiet where no chain is wished for. `keyed`: chains that are keyed in it have no motion of their
/// own where none is told.
std::vector<ChainChoice> choose_chains(const Character& character, const Frames& keyed,
                                       const std::vector<std::string>& wishes,
                                       const std::vector<std::string>& loads);

} // namespace aplomb::cli
