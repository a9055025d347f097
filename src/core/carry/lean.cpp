// SPDX-License-Identifier: MIT
// A pull is leant against with the whole body, one line from the feet to the head: hips go by half of what it asks for, and
// the trunk's own lean does the other half. Common practice, the number by eye.
#include "carry/parts.h"

namespace aplomb {

void add_lean(const CarryInput& in, Carriage& c) {
    c.hips.x += in.heft * 0.5 * in.m.pulled.fore;
    c.hips.y += in.heft * 0.5 * in.m.pulled.left;
}

} // namespace aplomb
