// SPDX-License-Identifier: MIT
// What a still moment asks for, as a body in motion can follow it: d with
//     w d - flow (h/g) D^2 d = w r,
// r the need of each frame, w the part of gravity that the ground feels there, h the height of the centre of mass. A
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
};

class Filter {
public:
    void lay_out(Layout& layout, int frames, bool ring);
    void set_up(const Grid& grid, const Swing* swing);
    /// `need` of every frame becomes d, in place; `stride` numbers from one frame to the next.
    void run(double* need, int stride) const;

private:
    Grid grid_{};
    bool still_ = true; // every frame by itself
    Band band_;
    double* weight_ = nullptr; // of the need
    double* line_ = nullptr;
};

} // namespace aplomb
