// SPDX-License-Identifier: MIT
// A body never leans towards a load that it carries at one side; on one foot it leans away by 6 T r / (r + .3) degrees, and the hips
// go the other way. Common practice, the numbers by eye.
#include "carry/parts.h"

namespace aplomb {

void add_away(const CarryInput& in, Carriage& c) {
    const Measures& m = in.m;
    c.away = in.heft * m.one_sided;
    // Away from a load at the left is to the right: a positive turn about the forward axis.
    const double lean =
        m.part > 0 ? in.heft * 6 * degree * m.one_sided * m.part / (m.part + 0.3) * m.lift : 0;
    c.spine_side += lean;
    c.hips.y += 0.25 * m.leg * lean;
}

} // namespace aplomb
