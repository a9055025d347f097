// SPDX-License-Identifier: MIT
// Short dense vectors. Two sums side by side, in a fixed order, so that the additions need not wait for each
// other.
#pragma once

namespace aplomb {

inline double dot_n(const double* a, const double* b, int n) {
    double even = 0, odd = 0;
    int i = 0;
    for (; i + 1 < n; i += 2) {
        even += a[i] * b[i];
        odd += a[i + 1] * b[i + 1];
    }
    if (i < n) even += a[i] * b[i];
    return even + odd;
}

/// y += s x
inline void add_scaled(double* __restrict__ y, double s, const double* __restrict__ x, int n) {
    for (int i = 0; i < n; ++i)
        y[i] += s * x[i];
}

} // namespace aplomb
