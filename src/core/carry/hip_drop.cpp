// SPDX-License-Identifier: MIT
// On one foot the pelvis drops on the free side, by 5 degrees as far as the weight goes home over that foot (a load on top
// asks for all of it); a thigh that is lifted high keeps it level. On two feet it drops on the side of the load, by
// 6 s(d / (.06 L)) degrees. Wide hips drop by less. The spine gives it back, on one foot by more. Common practice, the numbers by eye.
#include "carry/parts.h"

namespace aplomb {
namespace {

constexpr double by_stance = 5 * degree, by_load = 6 * degree;
constexpr double thigh_from = 30 * degree, thigh_over = 50 * degree; // ahead of plumb
constexpr double stiff_roll = 0.5;

} // namespace

void add_hip_drop(const CarryInput& in, Carriage& c) {
    const Measures& m = in.m;
    if (!m.on_two_legs) return;
    const double loaded = m.part / (m.part + 0.05);
    const double ahead = m.stand == 0 ? 0 : thigh_ahead(in.figure, in.key, m.leg_limb[m.stand > 0 ? 1 : 0]);
    const double stance = m.stand == 0 ? 0
                                       : by_stance * (m.phi + (1 - m.phi) * loaded) * m.stand *
                                             (1 - smooth_step((ahead - thigh_from) / thigh_over));
    const double load = by_load * saturated(m.counter.left / (0.06 * m.leg)) * (1 - m.lift);
    const double narrow = std::min(1.0, 0.11 * m.leg / m.half_hips);
    const double roll = in.heft * in.options.hip_drop * (stance + load) * narrow;
    c.pelvis.z += roll;
    c.pelvis_roll *= 1 + (stiff_roll - 1) * in.heft * (1 - (1 - m.lift * m.phi) * (1 - loaded));
    c.spine_side -= roll * (1 + 0.6 * m.lift * (1 - std::fabs(m.one_sided)));
}

} // namespace aplomb
