// SPDX-License-Identifier: MIT
// A load in both hands sinks by .14 L r / (r + .4), but not into a raised thigh, and can be drawn in with a standard deviation of
// 5 + 3 r / (r + .3) % of leg. A load of unknown size is a cube of .34 L. Common practice, the numbers by eye.
#include "carry/parts.h"

namespace aplomb {

void add_level(const CarryInput& in, Carriage& c) {
    const Measures& m = in.m;
    if (m.level[0] < 0) return;
    const Key& s = in.key;
    LevelOffer& level = c.level;
    level.limb[0] = m.level[0], level.limb[1] = m.level[1];
    double mass = 0;
    Vec3 moment, middle;
    int count = 0;
    for (int k = 0; k < s.load_count; ++k) {
        const Load& load = s.load[k];
        if (!load.level) continue;
        level.loads |= 1u << k;
        mass += load.mass, moment += load.centre * load.mass;
        middle += load.centre, ++count;
        for (int a = 0; a < 3; ++a)
            level.half_size[a] =
                std::max(level.half_size[a], load.half_size[a] > 0 ? load.half_size[a] : 0.17 * m.leg);
    }
    level.centre = mass > 0 ? moment / mass : middle / count;
    const double r = mass / m.body;
    level.sink = in.heft * 0.14 * m.leg * r / (r + 0.4);
    const double bottom = s.ground.height(level.centre) - level.half_size.y;
    for (int i = 0; i < in.figure.limb_count; ++i) {
        const Limb& limb = in.figure.limbs[i];
        if (limb.kind != APLOMB_LEG) continue;
        const Vec3 &hip = s.body.world[limb.upper].position, &knee = s.body.world[limb.lower].position;
        const double thigh = s.ground.height(hip + (knee - hip) * 0.35);
        level.sink *= 1 - smooth_step((thigh + 0.12 * m.leg - bottom) / (0.1 * m.leg));
    }
    level.pull = in.heft * (0.05 + 0.03 * r / (r + 0.3)) * m.leg;
}

} // namespace aplomb
