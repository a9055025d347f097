// SPDX-License-Identifier: MIT
// All frames of a shot, and loops that swing on across their ends.
#pragma once

#include "follow/step.h"

namespace aplomb {

/// Input that was checked. Keyed rotations null: the poses are the keyed ones.
struct ShotInput {
    int32_t frame_count = 1;
    bool closed = false;
    double frame_time = 0;
    const double* times = nullptr;
    const double* translations = nullptr;
    const double* rotations = nullptr;
    const double* keyed_translations = nullptr;
    const double* keyed_rotations = nullptr;
};

void follow_shot(const Follow& follow, double* state, const ShotInput& shot, double* rotations);

} // namespace aplomb
