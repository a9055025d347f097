// SPDX-License-Identifier: MIT
// Checks what a caller wants to follow, and takes it in.
#pragma once

#include "follow/plan.h"

namespace aplomb {

/// A refusal names the chain and the value.
aplomb_status check_follow(const Figure& figure, const aplomb_follow_desc& desc, FollowAsk& ask,
                           aplomb_error* error);

} // namespace aplomb
