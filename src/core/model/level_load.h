// SPDX-License-Identifier: MIT
// A load in both hands is carried level and off the body: its place goes along with the trunk's axis at its own height
// and sinks by a constant, its turn is the chest's twist about plumb, and it keeps its keyed gap to trunk and thighs:
//
//     fore part = smax(body_k - gap_k, ..., axis - pull) less the same at the key,
//     smax(a, b) = 1/2 (a + b + sqrt((a - b)^2 + e^2)), e = 1.2 % of leg, nested in the order of the list, in which the
//     thighs come first, so that left and right count alike,
//
// with pull, by which the arms draw it in, a variable. Both arms are limbs in closed form whose wrists ride with it; an
// elbow that would go back behind the body swivels outwards. How much of each is common practice, the numbers by eye.
#pragma once

#include "base/rotation.h"
#include "base/smooth.h"
#include "base/trig.h"
#include "model/body_point.h"

namespace aplomb {

inline constexpr int max_obstacles = 7; // two thighs, five heights of the trunk

struct LevelLoad {
    Vec3 place; // keyed, of its centre
    Lump lump;  // of the loads and the hands, about `place`
    double sink = 0;
    double ride = 1; // part of its way and its turn that it takes
    BodyPoint axis;  // of the trunk, at its height
    int obstacle_count = 0;
    BodyPoint obstacle[max_obstacles];
    double gap[max_obstacles]; // keyed
    double smoothing = 0;
    double fore_at_key = 0; // the nested value there
    int pull = -1;          // variable
};

/// How an elbow keeps from going back behind the chest: where the sine of the upper arm's angle behind it passes `limit`,
/// the arm swivels outwards by 2 (sm(sine - limit) - sm at the key), sm(t) = 1/2 (t + sqrt(t^2 + e^2) - e), e = 4 degrees,
/// saturating at 75.
struct Elbow {
    double outwards = 0; // +1, -1: the sense about the line from shoulder to wrist; 0: no such elbow
    double limit = 0, at_key = 0;
    Vec3 ahead; // of the chest, keyed world axes
};

struct Swivel {
    double angle, slope; // by the sine
};
Swivel swivel_of(const Elbow& elbow, double sine);

inline constexpr double elbow_width = 4 * degree;

/// smax of `count` values, nested from the first; `slope`, where asked for, gets how it follows each.
double nested_max(const double* values, int count, double smoothing, double* slope);

/// From its gaps.
void find_fore_at_key(LevelLoad& level);

} // namespace aplomb
