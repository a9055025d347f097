// SPDX-License-Identifier: MIT
// Sine, cosine and arctangent from +, -, *, / and sqrt alone, so that every machine gives the same bits.
// Taylor series on reduced arguments; errors stay within 2 units in the last place for |angle| < 1e6.
#pragma once

namespace aplomb {

inline constexpr double pi = 3.14159265358979323846;
inline constexpr double degree = pi / 180.0;

struct SinCos {
    double sin, cos;
};

SinCos sin_cos(double angle);
double arctan2(double y, double x);
/// Arguments outside [-1, 1] are taken as the nearest end.
double arccos(double cosine);
double arcsin(double sine);

} // namespace aplomb
