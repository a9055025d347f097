// SPDX-License-Identifier: MIT
#include "base/jacobi.h"

#include <cmath>

namespace aplomb {
namespace {

constexpr int sweeps = 12;

struct Turn {
    double c, s;
};

/// The rotation that makes a_pq zero: the smaller of the two.
Turn turn_for(double pp, double qq, double pq) {
    const double t2 = (qq - pp) / (2.0 * pq);
    const double t = (t2 >= 0 ? 1.0 : -1.0) / (std::fabs(t2) + std::sqrt(1.0 + t2 * t2));
    const double c = 1.0 / std::sqrt(1.0 + t * t);
    return {c, t * c};
}

/// Columns, or with `stride` and `step` swapped rows, p and q.
void turn_pair(double* m, int count, int p, int q, int stride, int step, const Turn& turn) {
    for (int i = 0; i < count; ++i) {
        double& x = m[i * stride + p * step];
        double& y = m[i * stride + q * step];
        const double a = x, b = y;
        x = turn.c * a - turn.s * b;
        y = turn.s * a + turn.c * b;
    }
}

} // namespace

void jacobi_eigen(double* a, double* vectors, int count) {
    for (int i = 0; i < count * count; ++i)
        vectors[i] = i % (count + 1) == 0 ? 1.0 : 0.0;
    for (int sweep = 0; sweep < sweeps; ++sweep) {
        for (int p = 0; p < count - 1; ++p) {
            for (int q = p + 1; q < count; ++q) {
                const double pq = a[p * count + q];
                // Nothing is left of it beside its diagonal.
                if (std::fabs(pq) <= 1e-18 * (std::fabs(a[p * count + p]) + std::fabs(a[q * count + q])))
                    continue;
                const Turn turn = turn_for(a[p * count + p], a[q * count + q], pq);
                turn_pair(a, count, p, q, count, 1, turn);
                turn_pair(a, count, p, q, 1, count, turn);
                turn_pair(vectors, count, p, q, count, 1, turn);
            }
        }
    }
}

} // namespace aplomb
