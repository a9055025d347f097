// SPDX-License-Identifier: MIT
#include "model/level_load.h"

namespace aplomb {
namespace {

constexpr double twice = 2, most_swivel = 75 * degree;

} // namespace

Swivel swivel_of(const Elbow& elbow, double sine) {
    const double past = sine - elbow.limit, root = std::sqrt(past * past + elbow_width * elbow_width);
    const double wish = twice * (positive_part(past, elbow_width) - elbow.at_key);
    const double wish_slope = twice * 0.5 * (1 + past / root);
    const double u = wish / most_swivel, size = std::sqrt(1 + u * u);
    return {elbow.outwards * wish / size, elbow.outwards * wish_slope / (size * size * size)};
}

double nested_max(const double* values, int count, double smoothing, double* slope) {
    double most = values[0];
    if (slope) slope[0] = 1;
    for (int k = 1; k < count; ++k) {
        if (slope) {
            const double keep = smooth_max_slope(most, values[k], smoothing);
            for (int i = 0; i < k; ++i)
                slope[i] *= keep;
            slope[k] = 1 - keep;
        }
        most = smooth_max(most, values[k], smoothing);
    }
    return most;
}

void find_fore_at_key(LevelLoad& level) {
    double off[max_obstacles + 1] = {0};
    for (int k = 0; k < level.obstacle_count; ++k)
        off[k] = -level.gap[k];
    level.fore_at_key = nested_max(off, 1 + level.obstacle_count, level.smoothing, nullptr);
}

} // namespace aplomb
