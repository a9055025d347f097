// SPDX-License-Identifier: MIT
// What is destroyed at the end of a scope.
#pragma once

#include "aplomb/clip.h"

namespace aplomb {

struct DestroySolver {
    aplomb_solver* solver = nullptr;
    ~DestroySolver() { aplomb_solver_destroy(solver); }
};
struct DestroyReading {
    aplomb_clip_reading* reading = nullptr;
    ~DestroyReading() { aplomb_clip_reading_destroy(reading); }
};
struct DestroyResult {
    aplomb_clip_balance_result* result = nullptr;
    ~DestroyResult() { aplomb_clip_balance_result_destroy(result); }
};

} // namespace aplomb
