// SPDX-License-Identifier: MIT
// From frame to frame a correction goes straight towards the still answer, no faster than its pace. What is
// remembered is the correction itself, in the reduced model's own variables, so any pose can carry it.
#pragma once

#include "pose/problem.h"

namespace aplomb {

inline constexpr int max_carried = 6 + 3 * max_blocks;

/// What one frame leaves to the next.
struct Carried {
    bool running = false;
    int count = 0;
    Vec3 hips;         // keyed, world
    Vec3 acceleration; // smoothed
    double x[max_carried] = {};
};

/// The most that a correction may change by now.
struct Stride {
    double hips = 0;  // metres
    double turns = 0; // radians, of the hips, of the whole spine, of the whole neck
};

/// True where `carried` can be a correction in this reduction.
bool fits(const Reduction& r, const Carried& carried);
/// True where no correction is left in it.
bool is_still_key(const Carried& carried);

/// Moves `e`, which holds the still answer, back to where the stride ends. Limits go before the pace: where they
/// forbid the place, it lies further along the way. Returns the part of the way, 1: the still answer.
double approach(const Problem& problem, const Stride& stride, const Carried& from, Evaluation& e);

void carry(const Reduction& r, const Evaluation& e, Carried& to);

} // namespace aplomb
