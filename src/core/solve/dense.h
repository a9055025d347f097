// SPDX-License-Identifier: MIT
// Short dense vectors, two numbers at a time: four sums side by side, in a fixed order, so that the additions
// need not wait for each other and every machine, with such registers or without, gives the same bits.
#pragma once

#include <cstddef>

#include "base/pair.h"

namespace aplomb {

inline double dot_n(const double* a, const double* b, int n) {
    Pair even = {0, 0}, odd = {0, 0};
    int i = 0;
    for (; i + 3 < n; i += 4) {
        even += pair_at(a + i) * pair_at(b + i);
        odd += pair_at(a + i + 2) * pair_at(b + i + 2);
    }
    if (i + 1 < n) {
        even += pair_at(a + i) * pair_at(b + i);
        i += 2;
    }
    if (i < n) even[0] += a[i] * b[i];
    even += odd;
    return even[0] + even[1];
}

/// y += s x
inline void add_scaled(double* __restrict__ y, double s, const double* __restrict__ x, int n) {
    int i = 0;
    for (; i + 1 < n; i += 2) {
        const Pair sum = pair_at(y + i) + s * pair_at(x + i);
        put(y + i, sum);
    }
    if (i < n) y[i] += s * x[i];
}

/// x, y = c x + s y, c y - s x
inline void turn_together(double* __restrict__ x, double* __restrict__ y, double c, double s, int n) {
    int i = 0;
    for (; i + 1 < n; i += 2) {
        const Pair u = pair_at(x + i), v = pair_at(y + i);
        const Pair one = c * u + s * v, other = c * v - s * u;
        put(x + i, one);
        put(y + i, other);
    }
    if (i < n) {
        const double u = x[i], v = y[i];
        x[i] = c * u + s * v;
        y[i] = c * v - s * u;
    }
}

/// Line i of the lower half of a symmetric matrix, i + 1 numbers; the lines lie one after the other.
template<class T>
T* half_line(T* matrix, int i) {
    return matrix + i * (i + 1) / 2;
}
inline constexpr size_t half_size(size_t n) {
    return n * (n + 1) / 2;
}

/// out = matrix v
inline void half_times(const double* matrix, const double* v, double* out, int n) {
    for (int i = 0; i < n; ++i) {
        const double* line = half_line(matrix, i);
        out[i] = dot_n(line, v, i + 1);
        add_scaled(out, v[i], line, i);
    }
}

} // namespace aplomb
