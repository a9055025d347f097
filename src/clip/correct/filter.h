// SPDX-License-Identifier: MIT
// What a still moment asks for, as a body in motion can follow it: d with
//     w d - flow (h/g) D^2 d = w r,
// r the need of each frame, w the part of gravity that the ground feels there, h the height of the centre of mass. Without
// a special rule, a shift that the feet ask for begins before the foot lifts, and a hasty walk sways less than a slow one.
#pragma once

#include "clip/correct/band.h"
#include "clip/correct/grid.h"

namespace aplomb {

/// What the filter knows of a frame.
struct Swing {
    double pressing = 1; // w; 0: in the air
    double square = 0;   // flow h/g, s^2; 0: each frame by itself
    double known = 1;    // part of the need that is sure; the rest is what frames around need in the mean
};

class Filter {
public:
    void lay_out(Layout& layout, int frames, bool ring);
    /// `part`: of the time in which a body swings, for what turns within it.
    void set_up(const Grid& grid, const Swing* swing, double part = 1);
    /// `need` of every frame becomes d, in place; `stride` numbers from one frame to the next.
    void run(double* need, int stride) const;

private:
    void find_around(const Swing* swing);

    Grid grid_{};
    bool still_ = true; // every frame by itself
    Band band_;
    double* weight_ = nullptr; // of the need
    double* known_ = nullptr;
    /// At either end, frames whose need is not sure, and up to which frame others tell the mean.
    struct Around {
        int end = 0, step = 1, unsure = 0, last = 0;
        double seconds = 0;
    } around_[2];
    double* line_ = nullptr;
};

} // namespace aplomb
