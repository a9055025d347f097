// SPDX-License-Identifier: MIT
// A lifted foot rides with its hip joint by its height over the stance's own ground: not below .045 L, where a stance can
// change, all of it from .165 L on; so lifting moves nothing at once, and a free leg is no strut. By eye.
#include "carry/parts.h"

namespace aplomb {

void add_ride(const CarryInput& in, Carriage& c) {
    const Key& s = in.key;
    for (int i = 0; i < in.figure.limb_count; ++i) {
        if (s.stance.ride[i] != APLOMB_RIDE_HIP) continue;
        const Limb& limb = in.figure.limbs[i];
        double height = 1e300;
        for (int k = 0; k < limb.sole.point_count; ++k) {
            const Sole::Point& p = limb.sole.points[k];
            height = std::min(height, s.ground.height(to_world(s.body.world[p.joint], p.position)));
        }
        if (limb.sole.point_count == 0) height = s.ground.height(s.body.world[limb.end].position);
        c.ride[i] = (1 - in.m.bearing[i]) * smooth_step((height / in.m.leg - 0.045) / 0.12);
    }
}

} // namespace aplomb
