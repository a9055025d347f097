// SPDX-License-Identifier: MIT
#include "report/marks.h"

#include <algorithm>

namespace aplomb::report {
namespace {

/// A smooth curve through points (Catmull and Rom, 1974, as Bezier pieces).
std::string smooth_path(const std::vector<Point>& p) {
    std::string data = "M" + number(p[0].x) + ' ' + number(p[0].y);
    for (size_t i = 0; i + 1 < p.size(); ++i) {
        const Point &a = p[i == 0 ? 0 : i - 1], &b = p[i], &c = p[i + 1],
                    &d = p[std::min(i + 2, p.size() - 1)];
        data += "C" + number(b.x + (c.x - a.x) / 6) + ' ' + number(b.y + (c.y - a.y) / 6) + ' ' +
                number(c.x - (d.x - b.x) / 6) + ' ' + number(c.y - (d.y - b.y) / 6) + ' ' + number(c.x) +
                ' ' + number(c.y);
    }
    return data;
}

void draw_thin(SvgWriter& svg, const std::string& data) {
    svg.path(data, R"(fill="none" stroke="#FFFFFF" stroke-width="2.8" stroke-opacity="0.8")");
    svg.path(data, R"(fill="none" stroke="#000000" stroke-width="0.9")");
}

void draw_ends(SvgWriter& svg, Point a, Point b, bool pelvis) {
    for (const Point end : {a, b})
        svg.circle(end, pelvis ? 2.4 : 2,
                   pelvis ? R"(fill="#FFFFFF" stroke="#000000" stroke-width="0.9")"
                          : R"(fill="#000000" stroke="#FFFFFF" stroke-width="0.8")");
}

void draw_cross_line(SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement,
                     aplomb_limb_kind kind) {
    const BodyLimb *left = nullptr, *right = nullptr;
    for (const BodyLimb& limb : drawing.body.limbs) {
        if (limb.kind == kind && limb.side == APLOMB_SIDE_LEFT) left = &limb;
        if (limb.kind == kind && limb.side == APLOMB_SIDE_RIGHT) right = &limb;
    }
    if (left == nullptr || right == nullptr) return;
    const Vec3 a = half.posture[static_cast<size_t>(left->upper)].position,
               b = half.posture[static_cast<size_t>(right->upper)].position;
    const Vec3 over = normalized(a - b) * (0.06 * drawing.body.stature);
    const Point left_end = placement.at(a + over), right_end = placement.at(b - over);
    svg.open("g", kind == APLOMB_LEG ? R"(class="pelvis-line")" : R"(class="shoulder-line")");
    draw_thin(svg, path_data({left_end, right_end}, false));
    draw_ends(svg, left_end, right_end, kind == APLOMB_LEG);
    svg.close("g");
}

} // namespace

void draw_line_sample(SvgWriter& svg, const BodyLine& line, Point at) {
    if (&line == &body_lines[2])
        return draw_thin(svg, smooth_path({{at.x - 3, at.y + 6}, {at.x + 2, at.y}, {at.x - 1, at.y - 6}}));
    const Point left{at.x - 8, at.y}, right{at.x + 8, at.y};
    draw_thin(svg, path_data({left, right}, false));
    draw_ends(svg, left, right, &line == &body_lines[0]);
}

void draw_body_lines(SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement) {
    draw_cross_line(svg, drawing, half, placement, APLOMB_LEG);
    draw_cross_line(svg, drawing, half, placement, many_feet(drawing) ? APLOMB_FORE_LEG : APLOMB_ARM);
    std::vector<Point> action;
    for (const auto& p : half.reading->line_of_action)
        action.push_back(placement.at(drawing.body.length_in(p)));
    svg.open("g", R"(class="line-of-action")");
    draw_thin(svg, smooth_path(action));
    svg.close("g");
}

} // namespace aplomb::report
