// SPDX-License-Identifier: MIT
// Forces f >= 0 at the bearing points, in parts of the weight, balance it when sum f = 1 and sum f x = p, with p the
// balance point. More than three points leave the forces open: the best estimate is the evenest pressure, least
// sum f^2 / w.
#pragma once

#include "figure/figure.h"
#include "moment/ground.h"

namespace aplomb {

struct Key;

inline constexpr int max_bearing_points = APLOMB_MAX_CONTACTS * max_sole_points;

struct BearingPoint {
    Vec2 place;
    double weight = 1; // w: how readily it takes force
};

/// Those of a stance on the ground, contact by contact.
struct BearingPoints {
    int count = 0;
    int first[APLOMB_MAX_CONTACTS + 1] = {};
    BearingPoint point[max_bearing_points];

    BearingPoints() = default;
    explicit BearingPoints(const Key& key);
};

/// The forces with the least sum f^2 / w. `p` must lie in the points' hull.
void even_forces(const BearingPoint* points, int count, const Vec2& p, double* forces);

} // namespace aplomb
