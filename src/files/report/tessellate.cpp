// SPDX-License-Identifier: MIT
// A convex hull is taken direction by direction: the farthest points in neighbouring directions span its
// surface (view.h gives the farthest point).
#include "report/tessellate.h"

#include "report/view.h"

namespace aplomb::report {
namespace {

constexpr int around = 48, across = 24; // directions, as meridians and parallels of a globe

void add_hull(const Hull& hull, Surface& surface) {
    const auto first = static_cast<int32_t>(surface.points.size());
    for (int row = 0; row <= across; ++row)
        for (int column = 0; column < around; ++column) {
            // Turned a little, so that no direction is square to the faces of a box.
            const SinCos turn = sin_cos(2 * pi * (column + 0.3) / around), tilt = sin_cos(pi * row / across);
            surface.points.push_back(support(
                hull, normalized(Vec3{tilt.sin * turn.cos + 1e-3, tilt.cos + 2e-3, tilt.sin * turn.sin})));
        }
    for (int row = 0; row < across; ++row)
        for (int column = 0; column < around; ++column) {
            const int32_t a = first + row * around + column, b = first + row * around + (column + 1) % around;
            for (const int32_t corner : {a, b, b + around, a, b + around, a + around})
                surface.triangles.push_back(corner);
        }
}

} // namespace

Surface tessellate(const std::vector<Form>& forms) {
    Surface surface;
    for (const Form& form : forms)
        for (const Hull& hull : form.hulls)
            add_hull(hull, surface);
    return surface;
}

} // namespace aplomb::report
