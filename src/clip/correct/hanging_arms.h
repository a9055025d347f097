// SPDX-License-Identifier: MIT
// Arms that hang keep what they carry off the legs (model/reduction.h, Clearance). A leg that passes asks for that within a
// few frames, and a weight that is taken up or lets go of at once; who carries it holds it off for as long as legs pass.
#pragma once

#include "clip/correct/range.h"

namespace aplomb {

class HangingArms {
public:
    void lay_out(Layout& layout, int frames);
    /// Sets by how much arms go out, as it follows in time from what all frames ask now. False: they do by that, but for a
    /// little, and nothing is changed.
    bool keep_clear(const Figure& figure, Range& range);

private:
    bool ask(const Figure& figure, int limb, const Range& range);
    void spread(const Grid& grid);
    void fade(const Grid& grid);
    bool set(const Figure& figure, int limb, Range& range) const;

    double *asked_ = nullptr, *angle_ = nullptr; // of each frame, outwards
};

} // namespace aplomb
