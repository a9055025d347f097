// SPDX-License-Identifier: MIT
// A low pass over an uneven grid without delay: the curve that is nearest to the samples at a price on its second
// derivative (E. Whittaker 1923; C. Reinsch 1967). With the price (2 pi f)^-4 its gain is 1 / (1 + (frequency/f)^4),
// that of a Butterworth filter of second order run both ways, and at the ends it goes on straight.
#pragma once

#include "base/block.h"
#include "base/vec.h"

namespace aplomb {

class Smoother {
public:
    /// `count` growing times; memory for their factors.
    void lay_out(Layout& layout, size_t count);
    void set_up(const double* times, int count, double frequency);
    /// Smooths in place. A constant comes back bit for bit.
    void smooth(Vec3* values) const;

private:
    int count_ = 0;
    double* weight_ = nullptr;
    double* diagonal_ = nullptr; // of L D L^T, unit lower triangle with two bands
    double* first_ = nullptr;
    double* second_ = nullptr;
};

/// Hz: faster motion of a recorded centre of mass is noise (design: 6.1).
inline constexpr double motion_frequency = 6;

/// 0 below 0, 1 above 1, and a smooth rise between them.
double smoothstep(double x);

/// First and second derivatives from three neighbours; at the ends those of the neighbour. With fewer than three samples
/// the second is zero.
Vec3 slope(const double* times, const Vec3* values, int count, int at);
Vec3 curvature(const double* times, const Vec3* values, int count, int at);

} // namespace aplomb
