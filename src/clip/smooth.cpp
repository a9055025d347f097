// SPDX-License-Identifier: MIT
#include "clip/smooth.h"

#include <algorithm>

namespace aplomb {

void Smoother::lay_out(Layout& layout, size_t count) {
    weight_ = layout.take<double>(count);
    diagonal_ = layout.take<double>(count);
    first_ = layout.take<double>(count);
    second_ = layout.take<double>(count);
}

void Smoother::set_up(const double* times, int count, double frequency) {
    count_ = count;
    if (count < 3) return;
    constexpr double pi = 3.14159265358979323846;
    const double corner = 2 * pi * frequency, price = 1 / (corner * corner * corner * corner);
    for (int i = 0; i < count; ++i) {
        const double before = i > 0 ? times[i] - times[i - 1] : 0;
        const double after = i + 1 < count ? times[i + 1] - times[i] : 0;
        weight_[i] = diagonal_[i] = (before + after) / 2;
        first_[i] = second_[i] = 0; // element (i, i - 1) and (i, i - 2)
    }
    for (int i = 1; i + 1 < count; ++i) {
        const double before = times[i] - times[i - 1], after = times[i + 1] - times[i],
                     mean = (before + after) / 2;
        const double a = 1 / (before * mean), c = 1 / (after * mean), b = -a - c, w = price * mean;
        diagonal_[i - 1] += w * a * a, diagonal_[i] += w * b * b, diagonal_[i + 1] += w * c * c;
        first_[i] += w * a * b, first_[i + 1] += w * b * c, second_[i + 1] += w * a * c;
    }
    for (int i = 0; i < count; ++i) {
        if (i > 1) second_[i] /= diagonal_[i - 2];
        if (i > 0) {
            if (i > 1) first_[i] -= second_[i] * diagonal_[i - 2] * first_[i - 1];
            first_[i] /= diagonal_[i - 1];
            diagonal_[i] -= first_[i] * first_[i] * diagonal_[i - 1];
        }
        if (i > 1) diagonal_[i] -= second_[i] * second_[i] * diagonal_[i - 2];
    }
}

void Smoother::smooth(Vec3* values) const {
    if (count_ < 3) return;
    const Vec3 start = values[0]; // without it a constant would come back with rounding
    for (int i = 0; i < count_; ++i) {
        values[i] = (values[i] - start) * weight_[i];
        if (i > 0) values[i] -= values[i - 1] * first_[i];
        if (i > 1) values[i] -= values[i - 2] * second_[i];
    }
    for (int i = count_ - 1; i >= 0; --i) {
        values[i] = values[i] / diagonal_[i];
        if (i + 1 < count_) values[i] -= values[i + 1] * first_[i + 1];
        if (i + 2 < count_) values[i] -= values[i + 2] * second_[i + 2];
    }
    for (int i = 0; i < count_; ++i)
        values[i] += start;
}

double smoothstep(double x) {
    const double t = std::clamp(x, 0.0, 1.0);
    return t * t * (3 - 2 * t);
}

Vec3 slope(const double* times, const Vec3* values, int count, int at) {
    const int a = std::max(at - 1, 0), b = std::min(at + 1, count - 1);
    return a == b ? Vec3{} : (values[b] - values[a]) / (times[b] - times[a]);
}

Vec3 curvature(const double* times, const Vec3* values, int count, int at) {
    if (count < 3) return {};
    const int i = std::clamp(at, 1, count - 2);
    const double before = times[i] - times[i - 1], after = times[i + 1] - times[i];
    return ((values[i + 1] - values[i]) / after - (values[i] - values[i - 1]) / before) *
           (2 / (before + after));
}

} // namespace aplomb
