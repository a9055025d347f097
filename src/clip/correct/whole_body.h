// SPDX-License-Identifier: MIT
// Moves a body as it is posed, with all that it carries, in poses that are laid out one frame after another.
#pragma once

#include "clip/track.h"

namespace aplomb {

class WholeBody {
public:
    void lay_out(Layout& layout, const Figure& figure);
    void set_up(const Figure& figure);
    /// `way` in metres, world.
    aplomb_status move(const Shot& shot, int frame, const Vec3& way, unsigned char* translations,
                       const unsigned char* rotations, aplomb_error* error) const;

private:
    uint8_t* carries_ = nullptr; // per joint: whether it takes what hangs on it along
    double* numbers_ = nullptr;
};

} // namespace aplomb
