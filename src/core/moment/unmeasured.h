// SPDX-License-Identifier: MIT
// Why a moment cannot be measured. A value, for what goes from frame to frame; told in words where somebody asks.
#pragma once

#include "figure/figure.h"

namespace aplomb {

struct Unmeasured {
    enum Why {
        nothing,
        falls,          // or is thrown aside: what is felt of gravity does not press it to the ground
        nothing_bears,  // no contact does
        contact_is_far, // further than farthest_place
        lifted_off,     // by its pulls
        point_is_far,   // the balance point
    } why = nothing;
    int contact = -1, joint = -1; // of contact_is_far: its place in the stance, and what touches
    double distance = 0;          // of point_is_far, metres
    bool turns = false;           // it has to do with the angular momentum's change, too

    explicit operator bool() const { return why != nothing; }
};

/// Metres from under the hips: what lies on the ground beyond it is no place for a verdict. So no margin, and no other
/// length that a verdict has, comes out at more than a kilometre.
inline constexpr double farthest_place = 500;

/// The status of one that is something, and its words.
aplomb_status tell(const Figure& figure, const Unmeasured& unmeasured, aplomb_error* error);

} // namespace aplomb
