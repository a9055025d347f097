// SPDX-License-Identifier: MIT
#include "clip/correct/arc.h"

#include <algorithm>
#include <cmath>
#include <initializer_list>
#include <limits>

namespace aplomb {
namespace {

constexpr int most_rounds = 50;
constexpr double firm = 1e6; // stiffness of the ground, over that of a second difference

/// Weights of the second difference at frame `at`, by its frame before, itself and its frame after.
struct Weights {
    double of[3];
};
Weights weights(const double* times, int at) {
    const double h = times[at] - times[at - 1], k = times[at + 1] - times[at];
    const double a = 2 / (h * (h + k)), c = 2 / (k * (h + k));
    return {{a, -a - c, c}};
}

} // namespace

void ArcFinder::lay_out(Layout& layout, size_t frames) {
    for (double** numbers : {&diagonal_, &first_, &second_, &lifted_})
        *numbers = layout.take<double>(frames);
    carried_ = layout.take<uint8_t>(frames);
}

/// Least squares of what is left of all second differences, as a band: of D^T D.
void ArcFinder::square_differences(const Flying& f) {
    const int n = f.count;
    std::fill_n(diagonal_, n, 0.0), std::fill_n(first_, n, 0.0), std::fill_n(second_, n, 0.0);
    for (int i = 0; i < n; ++i) {
        const Weights w = weights(f.times, i + 1);
        diagonal_[i] += w.of[1] * w.of[1];
        if (i > 0) diagonal_[i - 1] += w.of[0] * w.of[0], first_[i - 1] += w.of[0] * w.of[1];
        if (i + 1 < n) diagonal_[i + 1] += w.of[2] * w.of[2], first_[i] += w.of[1] * w.of[2];
        if (i > 0 && i + 1 < n) second_[i - 1] += w.of[0] * w.of[2];
    }
}

/// Solves in place for `lifted_`; the band becomes its factor.
void ArcFinder::solve(int n) {
    for (int i = 0; i < n; ++i) {
        const double one = first_[i] / diagonal_[i], two = second_[i] / diagonal_[i];
        if (i + 1 < n) {
            diagonal_[i + 1] -= one * first_[i], first_[i + 1] -= one * second_[i];
            lifted_[i + 1] -= one * lifted_[i];
        }
        if (i + 2 < n) diagonal_[i + 2] -= two * second_[i], lifted_[i + 2] -= two * lifted_[i];
        first_[i] = one, second_[i] = two;
    }
    for (int i = n - 1; i >= 0; --i) {
        lifted_[i] /= diagonal_[i];
        if (i + 1 < n) lifted_[i] -= first_[i] * lifted_[i + 1];
        if (i + 2 < n) lifted_[i] -= second_[i] * lifted_[i + 2];
    }
}

/// Lifts what would sink. The floor is firm springs under the frames that it carries, which are found anew in each round.
void ArcFinder::keep_above(const Flying& f, Vec3* ways) {
    const int n = f.count;
    const auto lacks = [&](int i) { return -f.room[i + 1] - dot(f.up, ways[i + 1]); };
    std::fill_n(lifted_, n, 0.0);
    std::fill_n(carried_, n, uint8_t{0});
    for (int round = 0; round < most_rounds; ++round) {
        bool changed = false;
        for (int i = 0; i < n; ++i) {
            const uint8_t carries = lifted_[i] < lacks(i);
            changed = changed || carries != carried_[i];
            carried_[i] = carries;
        }
        if (!changed) break;
        square_differences(f);
        const double spring = firm * *std::max_element(diagonal_, diagonal_ + n);
        for (int i = 0; i < n; ++i) {
            lifted_[i] = carried_[i] ? spring * lacks(i) : 0;
            if (carried_[i]) diagonal_[i] += spring;
        }
        solve(n);
    }
    for (int i = 0; i < n; ++i)
        ways[i + 1] += f.up * std::max(lifted_[i], lacks(i));
}

void ArcFinder::find(const Flying& f, Vec3* ways) {
    const Vec3 from = f.centres[0], to = f.centres[f.count + 1];
    const double all = f.seconds();
    ways[0] = ways[f.count + 1] = {};
    bool sinks = false;
    for (int i = 1; i <= f.count; ++i) {
        const double s = f.times[i] - f.times[0];
        ways[i] = from + (to - from) * (s / all) + f.gravity * (s * (s - all) / 2) - f.centres[i];
        sinks = sinks || dot(f.up, ways[i]) < -f.room[i];
    }
    if (sinks) keep_above(f, ways);
    double most = 0;
    for (int i = 1; i <= f.count; ++i)
        most = std::max(most, norm(ways[i]));
    if (most <= f.furthest) return;
    for (int i = 1; i <= f.count; ++i)
        ways[i] = ways[i] * (f.furthest / most);
}

double slack_of(const Flying& f, const Vec3* ways) {
    double most = 0;
    for (int i = 1; i <= f.count; ++i) {
        const Weights w = weights(f.times, i);
        Vec3 left = -f.gravity;
        for (int a = -1; a <= 1; ++a)
            left += (f.centres[i + a] - f.centres[i] + ways[i + a] - ways[i]) * w.of[a + 1];
        most = std::max(most, norm(left));
    }
    return most;
}

bool end_velocity(const double* times, const Vec3* places, int count, bool before, Vec3& velocity) {
    if (count < 2) return false;
    const int end = before ? count - 1 : 0;
    if (count == 2) {
        velocity = (places[1] - places[0]) / (times[1] - times[0]);
        return true;
    }
    // Orthogonal polynomials on the times, counted from their middle.
    double middle = 0;
    Vec3 mean;
    for (int i = 0; i < count; ++i)
        middle += times[i] / count, mean += places[i] / count;
    double t2 = 0, t3 = 0;
    for (int i = 0; i < count; ++i) {
        const double t = times[i] - middle;
        t2 += t * t, t3 += t * t * t;
    }
    double qq = 0;
    Vec3 linear, square;
    for (int i = 0; i < count; ++i) {
        const double t = times[i] - middle, q = t * t - t * t3 / t2 - t2 / count;
        qq += q * q;
        linear += (places[i] - mean) * (t / t2), square += (places[i] - mean) * q;
    }
    velocity = linear + square * ((2 * (times[end] - middle) - t3 / t2) / qq);
    return true;
}

double fitting_seconds(double before, double after, double gravity) {
    return before > after ? (before - after) / gravity : std::numeric_limits<double>::quiet_NaN();
}

} // namespace aplomb
