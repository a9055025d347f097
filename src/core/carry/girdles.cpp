// SPDX-License-Identifier: MIT
// Shoulders follow what hangs on them: the loaded side down by 22 r / (r + .25) degrees (three quarters under a load that lies
// on the shoulder), the free one up by 7 lambda / (lambda + .07), both down by 13.2 r / (r + .4) under a load in both
// hands. From a load on one shoulder neck and head lean away by 12 r / (r + .12). Common practice, the numbers by eye.
#include "carry/parts.h"

namespace aplomb {

void add_girdles(const CarryInput& in, Carriage& c) {
    const Measures& m = in.m;
    for (int i = 0; i < in.figure.limb_count; ++i) {
        const Limb& limb = in.figure.limbs[i];
        if (limb.kind != APLOMB_ARM || limb.side == APLOMB_SIDE_MIDDLE) continue;
        const double side = sign_of(limb.side);
        const ArmMeasure& arm = m.arm[i];
        const double on = arm.part + arm.shoulder;
        double down = on > 0 ? 22 * degree * (arm.part + 0.75 * arm.shoulder) / (on + 0.25) : 0;
        down += 13.2 * degree * arm.both / (arm.both + 0.4);
        if (on + arm.both == 0 && side * m.counter.left > 0) // the side that the body goes to is the free one
            down -= 7 * degree * m.aside / (m.aside + 0.07);
        c.arm[i].girdle = -side * in.heft * down;
        c.neck_lean += side * in.heft * -12 * degree * arm.shoulder / (arm.shoulder + 0.12);
    }
}

} // namespace aplomb
