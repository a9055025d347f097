// SPDX-License-Identifier: MIT
// A foot that is suggested: the outline of its sole where it would stand, from above.
#include <algorithm>

#include "report/marks.h"

namespace aplomb::report {
namespace {

constexpr const char* sole_style =
    R"(class="suggested-sole" fill="#FFFFFF" fill-opacity="0.35" stroke="#B3367B" stroke-width="1.8" )"
    R"(stroke-dasharray="5 2.5" stroke-linejoin="round")";

} // namespace

std::vector<Vec3> suggested_sole(const Drawing& drawing) {
    std::vector<Vec3> sole;
    const aplomb_foot_suggestion* foot = drawing.picture->foot;
    if (foot == nullptr || foot->found == 0) return sole;
    for (int i = 0; i < foot->outline_count; ++i)
        sole.push_back(drawing.body.length_in(foot->outline[i]));
    return sole;
}

void draw_suggested_sole(SvgWriter& svg, const Drawing& drawing, const Placement& placement) {
    std::vector<Point> outline;
    for (const Vec3& corner : suggested_sole(drawing))
        outline.push_back(placement.at(corner));
    if (!outline.empty()) svg.polygon(outline, sole_style);
}

void draw_suggested_sample(SvgWriter& svg, Point at) {
    svg.polygon({{at.x - 9, at.y - 3},
                 {at.x + 6, at.y - 4},
                 {at.x + 9, at.y},
                 {at.x + 6, at.y + 4},
                 {at.x - 9, at.y + 3}},
                sole_style);
}

} // namespace aplomb::report
