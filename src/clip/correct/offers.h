// SPDX-License-Identifier: MIT
// What loads alone do to knees, arms, girdles and neck, frame by frame: numbers that are not among the variables,
// and so are filtered before anything is solved. Targets of variables are filtered in the range (range.h).
#pragma once

#include "base/rotation.h"
#include "carry/carriage.h"

namespace aplomb {

inline constexpr int offer_numbers = 6 + 8 * max_limbs + 3;

/// Each number minus the value that it has in every pose.
inline void take_offers(const Carriage& c, double* out) {
    int n = 0;
    for (const double v : {c.hips_fore - 1, c.pelvis_pitch - 1, c.pelvis_roll - 1, c.spine_bend - 1, c.away})
        out[n++] = v;
    for (int i = 0; i < max_limbs; ++i) {
        const Vec3 upper = log_rotation(c.arm[i].upper);
        for (const double v : {c.bend[i], c.arm[i].girdle, upper.x, upper.y, upper.z, c.arm[i].elbow,
                               c.arm[i].give_back, c.arm[i].clear})
            out[n++] = v;
    }
    for (const double v : {c.neck, c.neck_lean, c.level.sink})
        out[n++] = v;
}

inline void give_offers(const double* in, Carriage& c) {
    int n = 0;
    for (double* v : {&c.hips_fore, &c.pelvis_pitch, &c.pelvis_roll, &c.spine_bend})
        *v = 1 + in[n++];
    c.away = in[n++];
    for (int i = 0; i < max_limbs; ++i) {
        Vec3 upper;
        c.bend[i] = in[n++], c.arm[i].girdle = in[n++];
        upper.x = in[n++], upper.y = in[n++], upper.z = in[n++];
        c.arm[i].upper = exp_rotation(upper);
        for (double* v : {&c.arm[i].elbow, &c.arm[i].give_back, &c.arm[i].clear})
            *v = in[n++];
    }
    for (double* v : {&c.neck, &c.neck_lean, &c.level.sink})
        *v = in[n++];
}

} // namespace aplomb
