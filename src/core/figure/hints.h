// SPDX-License-Identifier: MIT
// What the names of all joints together say: a "shoulder" is a girdle or an upper arm by what is named below
// it, a "leg" is a thigh or a shank by what is named above it.
#pragma once

#include "figure/survey.h"

namespace aplomb {

struct Hints {
    aplomb_role role[max_joints]; // FROM_NAME: the name says nothing
    aplomb_side side[max_joints]; // FROM_NAME: no mark
};

/// Roles and sides that the description gives override those of the names.
void read_hints(const Draft& draft, const Survey& survey, Hints& hints);

} // namespace aplomb
