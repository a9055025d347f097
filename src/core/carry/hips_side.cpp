// SPDX-License-Identifier: MIT
// A load at one side is answered by the hips first: they go by half of what it asks for, on one foot by less. Common
// practice, the numbers by eye.
#include "carry/parts.h"

namespace aplomb {

void add_hips_side(const CarryInput& in, Carriage& c) {
    c.hips.y += in.heft * 0.5 * in.m.counter.left * (1 - 0.4 * in.m.lift);
}

} // namespace aplomb
