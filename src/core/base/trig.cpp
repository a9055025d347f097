// SPDX-License-Identifier: MIT
#include "base/trig.h"

#include <bit>
#include <cmath>

#include "base/pair_math.h"

namespace aplomb {
namespace {

// pi/2 in two pieces; the first has 33 significant bits, so k * half_pi_head is exact for |k| < 2^20.
constexpr double half_pi_head = 1.57079632673412561417e+00;
constexpr double half_pi_tail = 6.07710050650619224932e-11;

/// sin(x)/x and cos(x) for |x| <= pi/4: the first term left out is below 1e-19.
template<class Number>
Number sin_reduced(const Number& x) {
    const Number s = x * x;
    Number p = 1.0 / 355687428096000.0 * s - 1.0 / 1307674368000.0;
    p = p * s + 1.0 / 6227020800.0;
    p = p * s - 1.0 / 39916800.0;
    p = p * s + 1.0 / 362880.0;
    p = p * s - 1.0 / 5040.0;
    p = p * s + 1.0 / 120.0;
    p = p * s - 1.0 / 6.0;
    return x + x * s * p;
}

template<class Number>
Number cos_reduced(const Number& x) {
    const Number s = x * x;
    Number p = 1.0 / 20922789888000.0 * s - 1.0 / 87178291200.0;
    p = p * s + 1.0 / 479001600.0;
    p = p * s - 1.0 / 3628800.0;
    p = p * s + 1.0 / 40320.0;
    p = p * s - 1.0 / 720.0;
    p = p * s + 1.0 / 24.0;
    return 1.0 - (0.5 * s - s * s * p);
}

/// arctan(t) for |t| <= 1/8.
double arctan_reduced(double t) {
    const double s = t * t;
    double p = 1.0 / 19.0;
    p = 1.0 / 17.0 - s * p;
    p = 1.0 / 15.0 - s * p;
    p = 1.0 / 13.0 - s * p;
    p = 1.0 / 11.0 - s * p;
    p = 1.0 / 9.0 - s * p;
    p = 1.0 / 7.0 - s * p;
    p = 1.0 / 5.0 - s * p;
    p = 1.0 / 3.0 - s * p;
    return t - t * s * p;
}

/// The whole number nearest to angle / (pi / 2).
double quarters(double angle) {
    return std::floor(angle / (0.5 * pi) + 0.5);
}

/// From the sine and cosine of what is left of an angle without its `k` quarters.
SinCos turned_by_quarters(double k, double s, double c) {
    const double quarter = k - 4.0 * std::floor(0.25 * k);
    switch (quarter >= 0 ? static_cast<int>(quarter) : 0) {
    case 0:
        return {s, c};
    case 1:
        return {c, -s};
    case 2:
        return {-s, -c};
    default:
        return {-c, s};
    }
}

/// arctan of 0, 1/4, 1/2, 3/4 and 1.
constexpr double arctan_table[5] = {0.0, 0.24497866312686415, 0.46364760900080612, 0.64350110879328439,
                                    0.78539816339744831};

/// arctan(y/x) for 0 <= y <= x, x > 0, by arctan(a) - arctan(c) = arctan((a - c) / (1 + a c)).
double arctan_octant(double y, double x) {
    const double near = 4.0 * y / x + 0.5;
    const int k = near >= 0 ? static_cast<int>(near) : 0; // what is not a number must not become an index
    const double c = 0.25 * k;
    return arctan_table[k] + arctan_reduced((y - c * x) / (x + c * y));
}

} // namespace

SinCos sin_cos(double angle) {
    const double k = quarters(angle);
    const double r = (angle - k * half_pi_head) - k * half_pi_tail;
    return turned_by_quarters(k, sin_reduced(r), cos_reduced(r));
}

/// Without a branch: the sine's and the cosine's places are exchanged, and their signs turned, by the last bits of the quarters.
SinCosPair sin_cos(const Pair& angle) {
    const Pair k = floor_of(angle / (0.5 * pi) + 0.5);
    const Pair r = (angle - k * half_pi_head) - k * half_pi_tail;
    const PairBits s = std::bit_cast<PairBits>(sin_reduced(r)), c = std::bit_cast<PairBits>(cos_reduced(r));
    const PairBits quarter = std::bit_cast<PairBits>(k + whole), odd = 0 - (quarter & 1);
    const PairBits exchanged = (s ^ c) & odd;
    const PairBits sine_sign = (quarter & 2) << 62, cosine_sign = ((quarter + 1) & 2) << 62;
    return {std::bit_cast<Pair>((s ^ exchanged) ^ sine_sign),
            std::bit_cast<Pair>((c ^ exchanged) ^ cosine_sign)};
}

double arctan2(double y, double x) {
    const double ay = std::fabs(y), ax = std::fabs(x);
    if (ax == 0 && ay == 0) return 0.0;
    double a = ay <= ax ? arctan_octant(ay, ax) : 0.5 * pi - arctan_octant(ax, ay);
    if (x < 0) a = pi - a;
    return y < 0 ? -a : a;
}

double arccos(double cosine) {
    if (cosine >= 1.0) return 0.0;
    if (cosine <= -1.0) return pi;
    return arctan2(std::sqrt((1.0 - cosine) * (1.0 + cosine)), cosine);
}

double arcsin(double sine) {
    if (sine >= 1.0) return 0.5 * pi;
    if (sine <= -1.0) return -0.5 * pi;
    return arctan2(sine, std::sqrt((1.0 - sine) * (1.0 + sine)));
}

} // namespace aplomb
