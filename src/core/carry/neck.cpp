// SPDX-License-Identifier: MIT
// Neck and head give back three quarters of the chest's turn, so that the head stays level; a head of more than .15 of the
// body's mass gives back less, .22 from one half on: a level head would cost more lean than it is worth. By eye.
#include "carry/parts.h"

namespace aplomb {

void add_neck(const CarryInput& in, Carriage& c) {
    const double share = in.plan.neck_mass / in.m.body;
    c.neck = in.options.neck * 0.75 * (1 - 0.7 * smooth_step((share - 0.15) / 0.35));
}

} // namespace aplomb
