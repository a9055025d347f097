// SPDX-License-Identifier: MIT
#include "clip/correct/rounds.h"

namespace aplomb {

Vec3 cycle_travel(const Vec3* at, int count, double least) {
    const int last = count - 1;
    const Vec3 travel =
        last < 5 ? at[last] - at[0] + (at[1] - at[0] + at[last] - at[last - 1]) / 2
                 : (at[last] * 10 - at[last - 1] * 5 + at[last - 2] - at[0] * 10 + at[1] * 5 - at[2]) / 6;
    return norm(travel) < least ? Vec3{} : travel;
}

} // namespace aplomb
