// SPDX-License-Identifier: MIT
// The part of its give that a keyed landing lacks.
//
// The body comes down with speed v and gives as aplomb_give_kind says: x'' = -rate^2 x - 2 damping rate x', x = 0 and
// x' = v at touchdown, until it is back. The greatest depth of the keys is compared with nine tenths of the model's: the
// part of that which they lack is the part of the model that is added. So a landing that gives as far, only later or
// slower, is left alone.
#pragma once

#include "aplomb/follow.h"
#include "clip/track.h"

namespace aplomb {

/// The hips' heights over frames, metres, and their times.
struct Heights {
    const double* height;
    const double* times;
};

/// The give that is added after a flight, in metres, while it lasts.
class Landing {
public:
    /// `touchdown`: the first frame that stands; `leaves`: the first one after it that does not, or the count.
    /// `flown`: the flight's first frame; `gravity`: what the flight's path implies.
    Landing(const Heights& hips, const aplomb_give& give, int flown, int touchdown, int leaves,
            double gravity);

    bool adds() const { return part_ > 0; }
    int last() const { return last_; }
    double at(double seconds_after) const;

private:
    double at(double seconds_after, double part) const;

    aplomb_give give_;
    double speed_ = 0, part_ = 0;
    int last_ = 0;
};

} // namespace aplomb
