// SPDX-License-Identifier: MIT
#include "carry/carriage.h"

#include "carry/parts.h"

namespace aplomb {

Carriage make_carriage(const Figure& figure, const BodyPlan& plan, const Key& key, const Aim& aim,
                       const aplomb_options& options) {
    const Measures m = measure_carry(figure, key, aim);
    const CarryInput in{figure, plan, key, m, options, options.heft};
    Carriage c;
    c.asks = in.heft > 0 && (m.part > 0 || m.pulled.fore != 0 || m.pulled.left != 0);
    add_ride(in, c);
    add_neck(in, c);
    add_hip_drop(in, c); // the give and the curve go by the pelvis' roll
    add_give(in, c);
    add_arch(in, c);
    add_hips_side(in, c);
    add_lean(in, c);
    add_curve(in, c);
    add_away(in, c);
    add_girdles(in, c);
    add_arms(in, c);
    add_level(in, c);
    return c;
}

} // namespace aplomb
