// SPDX-License-Identifier: MIT
// How freely a figure's parts move, and how far at most: the options of one correction in metres and radians.
#pragma once

#include "carry/carriage.h"

namespace aplomb {

struct Stiffness {
    Vec3 hips;      // standard deviations: fore, left, up; 0: not free
    Vec3 hips_turn; // pitch, twist, roll
    Vec3 trunk;     // bend, twist, lean, whole trunk
    double swivel = 0;
    double max_trunk = 0, max_hips = 0;
    bool spine_free = false, swivel_free = false;
    const uint8_t* locked = nullptr;
};

Stiffness make_stiffness(const Figure& figure, const aplomb_options& options, const Carriage& carriage);

} // namespace aplomb
