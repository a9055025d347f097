// SPDX-License-Identifier: MIT
// Points and lumps that ride on the parts of the reduced model.
#pragma once

#include "base/vec.h"

namespace aplomb {

/// A rigid lump: mass, and first moment about its own reference point, in keyed world axes.
struct Lump {
    double mass = 0;
    Vec3 moment;
};

/// A point of the body: between two points on links, or on one span of a fixed limb.
struct BodyPoint {
    int link[2] = {0, 0};
    Vec3 lever[2];   // from the links' pivots
    double part = 0; // of the second; of the span's length from its start
    int limb = -1;   // fixed limb
    int span = 0;
    Vec3 keyed; // place
};

} // namespace aplomb
