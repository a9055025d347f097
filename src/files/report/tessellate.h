// SPDX-License-Identifier: MIT
// Forms as triangles, for views that need depth cell by cell.
#pragma once

#include <cstdint>

#include "report/scene.h"

namespace aplomb::report {

struct Surface {
    std::vector<Vec3> points;
    std::vector<int32_t> triangles; // 3 points each
};

/// The hulls of the forms; inner parts are left in.
Surface tessellate(const std::vector<Form>& forms);

} // namespace aplomb::report
