// SPDX-License-Identifier: MIT
// How a load in front is answered. Arch: the hips go ahead under it by L t / sqrt(1 + (t/.1)^2), t = -mu (.25 + .5 S((r - .3)
// / .7)), mu the part of leg by which the load still pulls ahead; they and the pelvis' pitch get stiffer, the spine freer, so
// that it extends against an upright pelvis. Straight: hips back by .6 of the way, a stiff trunk. Sitting back: the pelvis
// tips forward by 8 degrees while hips go back as far and the knees give more. Common practice, the numbers by eye.
#include "carry/parts.h"

namespace aplomb {
namespace {

constexpr double most_ahead = 0.1; // of the leg
constexpr double felt = 0.1;       // a front load of this part of the body changes half of the stiffness
constexpr double stiff_hips = 1.6 / 3, stiff_pitch = 2.5 / 6, free_spine = 14.0 / 10;
constexpr double hips_back = 0.6, stiff_trunk = 0.5;
constexpr double tipped_forward = 8 * degree;

} // namespace

void add_arch(const CarryInput& in, Carriage& c) {
    const double ahead = std::max(0.0, -in.m.counter.fore / in.m.leg); // -mu
    const double u = in.heft * in.m.front / (in.m.front + felt);
    switch (in.options.front) {
    case APLOMB_FRONT_STRAIGHT:
        c.hips.x -= in.heft * hips_back * ahead * in.m.leg;
        c.spine_bend *= 1 + (stiff_trunk - 1) * u;
        return;
    case APLOMB_FRONT_SIT_BACK:
        c.hips.x -= in.heft * hips_back * ahead * in.m.leg;
        c.pelvis.x += tipped_forward * u;
        return;
    default: {
        const double t = ahead * (0.25 + 0.5 * smooth_step((in.m.part - 0.3) / 0.7));
        c.hips.x += in.heft * in.m.leg * t / std::sqrt(1 + (t / most_ahead) * (t / most_ahead));
        c.hips_fore *= 1 + (stiff_hips - 1) * u;
        c.pelvis_pitch *= 1 + (stiff_pitch - 1) * u;
        c.spine_bend *= 1 + (free_spine - 1) * u;
    }
    }
}

} // namespace aplomb
