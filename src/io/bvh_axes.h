// SPDX-License-Identifier: MIT
// Which way is up and which way a BVH figure faces, from the shape of its zero-angle pose. BVH does not say.
#pragma once

#include "io/bvh_read.h"

namespace aplomb::io {

struct BvhAxes {
    int up = 2; // aplomb_axis
    int forward = 3;
};

/// Up: from the legs to the rest of the body. Forward: the way the feet point. `up` fixes the first; 0: find
/// it.
BvhAxes find_axes(const BvhFile& file, int up);

} // namespace aplomb::io
