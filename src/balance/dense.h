// SPDX-License-Identifier: MIT
// Short dense vectors. Four sums side by side, in a fixed order, so that the additions need not wait for each
// other and may share a register.
#pragma once

namespace aplomb {

inline double dot_n(const double* a, const double* b, int n) {
    double sum0 = 0, sum1 = 0, sum2 = 0, sum3 = 0;
    int i = 0;
    for (; i + 3 < n; i += 4) {
        sum0 += a[i] * b[i], sum1 += a[i + 1] * b[i + 1];
        sum2 += a[i + 2] * b[i + 2], sum3 += a[i + 3] * b[i + 3];
    }
    if (i + 1 < n) {
        sum0 += a[i] * b[i], sum1 += a[i + 1] * b[i + 1];
        i += 2;
    }
    if (i < n) sum0 += a[i] * b[i];
    return (sum0 + sum2) + (sum1 + sum3);
}

/// y += s x
inline void add_scaled(double* __restrict__ y, double s, const double* __restrict__ x, int n) {
    for (int i = 0; i < n; ++i)
        y[i] += s * x[i];
}

} // namespace aplomb
