// SPDX-License-Identifier: MIT
// How a chain's modes move on, and when they come to rest.
#pragma once

#include "follow/drive.h"

namespace aplomb {

/// Whether chains that are nearly still are set to rest; a loop would then not close.
enum class Rest { comes, never };

/// `usual`: the frame took the plan's frame time.
void swing_on(const FollowChain& chain, const Drive& drive, double seconds, bool usual, Rest rest,
              const ChainState& state);

bool is_at_rest(const FollowChain& chain, const ChainState& state);

} // namespace aplomb
