// SPDX-License-Identifier: MIT
// The measures of a foot or paw, from its joints where they tell and from handbook proportions where not.
// Ball of the foot at .74 of its length, ball breadth .376, heel breadth .27, ankle height .26 of the length:
// ANSUR II 2012. Length .152 of the stature: Drillis and Contini 1966, in Winter, Biomechanics, figure 4.1.
// Ankle axis at .25 of the length from the heel: common practice, not checked against a source.
#pragma once

#include "figure/steps.h"

namespace aplomb {

inline constexpr double ball_part = .74, ankle_part = .25;
inline constexpr double ball_breadth_part = .376, heel_breadth_part = .27;
inline constexpr double ankle_height_part = .26;
inline constexpr double foot_stature_part = .152;

/// In the anatomical neutral, all from the end joint (ankle, hock, wrist).
struct FootShape {
    bool is_paw = false; // stands on its toes; the handbook's foot does not fit
    double heel = 0;     // forward of the end joint; negative
    double length = 0, breadth = 0;
    double ball = 0;   // forward of the end joint: the ball line
    double ground = 0; // the sole, up from the end joint; negative
    double left = 0;   // of the centre line
    aplomb_origin origin = APLOMB_ORIGIN_SHAPE;
};

/// The vector to where a joint's segment ends, as far as the description tells: its tip, or else the middle of its children.
/// In rest axes, relative to the joint; false where nothing is known.
bool segment_end(const Draft& draft, int32_t joint, Vec3* end);

/// Needs the end joint's neutral rotation; `stature` serves where the joints say nothing.
FootShape measure_foot(const Draft& draft, const Limb& limb, double stature);

bool is_quadruped(const Figure& figure);

} // namespace aplomb
