// SPDX-License-Identifier: MIT
// Whole clips are corrected: the walk that a beginner keys.
#include "walk.h"

#include <algorithm>
#include <cstdio>
#include <cstring>

namespace {

using aplomb::Vec3;

class BalanceClip : public testing::Test {
protected:
    walk::Walk made(const walk::Plan& plan = {}) const { return walk::make(figure.get(), shape, plan); }
    /// Of the hips at a time, between frames.
    static double sideways(const walk::Balanced& out, double time) {
        for (std::size_t f = 0; f + 1 < out.frames.size(); ++f) {
            const auto &a = out.frames[f], &b = out.frames[f + 1];
            if (b.time < time) continue;
            const double u = (time - a.time) / (b.time - a.time);
            return (1 - u) * a.controls.hips_shift[0] + u * b.controls.hips_shift[0];
        }
        return out.frames.back().controls.hips_shift[0];
    }

    lay::LayFigure shape = lay::LayFigure::adult();
    lay::FigureHandle figure = shape.create();
};

} // namespace

TEST_F(BalanceClip, SwayOfAWalkFollowsItsPace) {
    for (const double frames : {8., 10., 12., 14., 16., 20., 24., 32.}) {
        walk::Plan plan;
        plan.frames = frames;
        const walk::Walk keyed = made(plan);
        const walk::Balanced out = walk::balance(figure.get(), keyed.poses, keyed.clip());
        double low = 1, high = -1, lean = 0;
        for (const auto& f : out.frames) {
            if (f.time < 2 * frames / 24 || f.time > 6 * frames / 24) continue;
            low = std::min(low, f.controls.hips_shift[0]), high = std::max(high, f.controls.hips_shift[0]);
            for (int a : {0, 2}) lean = std::max(lean, std::fabs(f.controls.chest[a]) * 57.2958);
        }
        std::printf("%4.0f frames: status %d sway %.2f cm, lean %.2f, ranges %zu steps %d cost %.4f  %.1e %.1e %.1e\n", frames, out.status,
                    100 * (high - low), lean, out.ranges.size(), out.ranges.empty() ? 0 : out.ranges[0].steps,
                    out.ranges.empty() ? 0 : out.ranges[0].cost, out.ranges.empty() ? 0 : out.ranges[0].stationarity,
                    out.ranges.empty() ? 0 : out.ranges[0].violation, out.ranges.empty() ? 0 : out.ranges[0].complementarity);
    }
}
