// SPDX-License-Identifier: MIT
// Under a load at one side the spine is no straight rod: its top leans 3 s(d / (.1 L)) degrees towards the load, its lowest
// joint as much away. By eye.
#include "carry/parts.h"

namespace aplomb {

void add_curve(const CarryInput& in, Carriage& c) {
    c.curve = in.heft * 3 * degree * saturated(in.m.counter.left / (0.1 * in.m.leg)) * (1 - in.m.lift);
}

} // namespace aplomb
