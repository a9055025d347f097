// SPDX-License-Identifier: MIT
#include "model/stiffness.h"

namespace aplomb {

Stiffness make_stiffness(const Figure& figure, const aplomb_options& o, const Carriage& c) {
    Stiffness t;
    const auto free = [&](uint32_t bit, double value) { return (o.free & bit) != 0 ? value : 0.0; };
    const double leg = figure.leg_length;
    t.hips = {free(APLOMB_FREE_HIPS_FORE, o.hips_fore * leg * c.hips_fore),
              free(APLOMB_FREE_HIPS_SIDE, o.hips_side * leg),
              free(APLOMB_FREE_HIPS_HEIGHT, o.hips_height * leg)};
    const double turn = free(APLOMB_FREE_HIPS_TURN, o.hips_turn);
    t.hips_turn = {turn * c.pelvis_pitch, turn, turn * c.pelvis_roll};
    t.trunk = {o.trunk_fore * c.spine_bend, o.trunk_twist, o.trunk_side};
    t.swivel = o.swivel;
    t.max_trunk = o.max_trunk, t.max_hips = o.max_hips * leg;
    t.spine_free = (o.free & APLOMB_FREE_SPINE) != 0;
    t.swivel_free = (o.free & APLOMB_FREE_SWIVEL) != 0;
    t.locked = o.locked;
    return t;
}

} // namespace aplomb
