// SPDX-License-Identifier: MIT
// The free-fall arc of one flight: how far its frames are moved so that the second difference of the centre of mass is
// gravity, with the frames before and after it as they are.
#pragma once

#include <cstdint>

#include "base/block.h"
#include "base/vec.h"

namespace aplomb {

/// From the frame before to the frame after: `count` flight frames and two.
struct Flying {
    int count = 0;
    const double* times = nullptr;
    const Vec3* centres = nullptr;
    const double* room = nullptr; // metres by which a flight frame may sink; not read of the two others
    Vec3 up, gravity;             // of the ground, unit; m/s^2
    double furthest = 0;          // metres that a frame may be moved

    double seconds() const { return times[count + 1] - times[0]; }
};

class ArcFinder {
public:
    /// Memory for flights of so many frames.
    void lay_out(Layout& layout, size_t frames);
    /// Fills the ways of all count + 2 frames; those of the first and the last are 0. Where there is no room, the squares of
    /// what is left of each frame's second difference are least; where the way is too far, all of it is the same part.
    void find(const Flying& flying, Vec3* ways);

private:
    void square_differences(const Flying& flying);
    void solve(int count);
    void keep_above(const Flying& flying, Vec3* ways);

    double* diagonal_ = nullptr; // of L D L^T, unit lower triangle with two bands
    double* first_ = nullptr;
    double* second_ = nullptr;
    double* lifted_ = nullptr;   // of each frame, metres
    uint8_t* carried_ = nullptr; // whether the ground does that
};

/// The largest departure of the moved centres from a free fall, m/s^2.
double slack_of(const Flying& flying, const Vec3* ways);

/// The velocity at the last (or, with `before` false, the first) of these frames, from the parabola nearest to them, or
/// from two frames; false: there are not so many.
bool end_velocity(const double* times, const Vec3* places, int count, bool before, Vec3& velocity);

/// Seconds in which gravity turns one speed upwards into the other; NaN: never.
double fitting_seconds(double before, double after, double gravity);

} // namespace aplomb
