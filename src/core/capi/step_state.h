// SPDX-License-Identifier: MIT
// The memory of a loop in the caller's hands: checked when it comes back.
#pragma once

#include "step/memory.h"

namespace aplomb {

/// To be raised when the content changes.
inline constexpr uint32_t memory_version = 3;

/// Refuses a state of another version or figure and numbers that no step leaves. An empty state gives an empty memory.
aplomb_status recall(uint32_t check, const aplomb_step_state& state, StepMemory& memory, aplomb_error* error);
void keep(uint32_t check, const StepMemory& memory, aplomb_step_state& state);

} // namespace aplomb
