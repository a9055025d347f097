// SPDX-License-Identifier: MIT
// Times of frames, even or not: open at its ends, closed to a ring, or with frames beyond its ends that stay as they
// are. The second difference has three points, and its cell is half of both gaps.
#pragma once

#include <cstddef>

namespace aplomb {

struct Grid {
    int count = 0;
    bool ring = false;
    bool still_before = false, still_after = false; // a frame beyond that end keeps its key
    const double* gap = nullptr;                    // count + 1: before each frame, and after the last

    int before(int frame) const { return frame > 0 ? frame - 1 : ring ? count - 1 : -1; }
    int after(int frame) const { return frame + 1 < count ? frame + 1 : ring ? 0 : -1; }
    bool has_second(int frame) const {
        return (frame > 0 || ring || still_before) && (frame + 1 < count || ring || still_after);
    }
    /// Weights of the frame before, the frame, and the frame after.
    struct Second {
        double before, own, after;
    };
    Second second(int frame) const {
        const double h = gap[frame], k = gap[frame + 1];
        const double a = 2 / (h * (h + k)), c = 2 / (k * (h + k));
        return {a, -a - c, c};
    }
    /// Seconds that a frame stands for.
    double cell(int frame) const {
        if (count == 1 && !ring && !still_before && !still_after) return 1;
        const bool open_before = frame == 0 && !ring && !still_before;
        const bool open_after = frame + 1 == count && !ring && !still_after;
        return ((open_before ? 0 : gap[frame]) + (open_after ? 0 : gap[frame + 1])) / 2;
    }
};

} // namespace aplomb
