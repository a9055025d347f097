// SPDX-License-Identifier: MIT
// Times of frames, even or not: open at its ends, closed to a ring, or with frames beyond its ends that stay as they
// are. The second difference has three points, and its cell is half of both gaps.
#pragma once

#include <cmath>

namespace aplomb {

struct Grid {
    int count = 0;
    bool ring = false;
    bool still_before = false, still_after = false; // a frame beyond that end keeps its key
    const double* gap = nullptr;                    // count + 1: before each frame, and after the last

    int before(int frame) const { return frame > 0 ? frame - 1 : ring ? count - 1 : -1; }
    int after(int frame) const { return frame + 1 < count ? frame + 1 : ring ? 0 : -1; }
    bool has_second(int frame) const { return !starts(frame) && !ends(frame); }
    /// Weights of the frame before, the frame, and the frame after.
    struct Second {
        double before = 0, own = 0, after = 0;
    };
    Second second(int frame) const {
        const double h = gap[frame], k = gap[frame + 1];
        const double a = 2 / (h * (h + k)), c = 2 / (k * (h + k));
        return {a, -a - c, c};
    }
    /// The same at an open end, beyond which a body of swing `square` (T^2) comes from rest or comes to rest: there
    /// c - T^2 D^2 c is c minus or plus T times its velocity, the place over which it rests (A. Hof et al., J. Biomech. 38,
    /// 2005). So no body goes on falling beyond an end only to be in balance before it.
    Second second(int frame, double square) const {
        if (has_second(frame)) return second(frame);
        if (!is_open_end(frame)) return {};
        const double g = open_gap(frame), weight = 1 / (g * (g / 2 + std::sqrt(square + g * g / 4)));
        return {starts(frame) ? 0 : weight, -weight, starts(frame) ? weight : 0};
    }
    /// Seconds that a frame stands for; at an open end with the time in which such a body comes to rest beyond it.
    double cell(int frame, double square) const {
        if (has_second(frame)) return (gap[frame] + gap[frame + 1]) / 2;
        if (!is_open_end(frame)) return 1;
        const double g = open_gap(frame);
        return g / 2 + std::sqrt(square + g * g / 4);
    }

private:
    bool starts(int frame) const { return before(frame) < 0 && !still_before; }
    bool ends(int frame) const { return after(frame) < 0 && !still_after; }
    bool is_open_end(int frame) const { return starts(frame) != ends(frame); }
    double open_gap(int frame) const { return gap[starts(frame) ? frame + 1 : frame]; }
};

} // namespace aplomb
