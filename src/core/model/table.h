// SPDX-License-Identifier: MIT
// The options of one correction in metres and radians for one figure.
#pragma once

#include "figure/figure.h"

namespace aplomb {

struct Table {
    Vec3 hips; // standard deviations: fore, left, up; 0: not free
    double hips_turn = 0;
    Vec3 trunk; // bend, twist, lean, whole trunk
    double neck = 0, head = 0, knee_bend = 0, knee_straighten = 0, swivel = 0, aim = 0;
    double max_trunk = 0, max_hips = 0;
    double rest = 0;
    bool spine_free = false, neck_free = false, swivel_free = false;
    const uint8_t* locked = nullptr;
};

Table make_table(const Figure& figure, const aplomb_options& options);

/// Checks every option; the defaults pass.
aplomb_status check_options(const aplomb_options& options, aplomb_error* error);

} // namespace aplomb
