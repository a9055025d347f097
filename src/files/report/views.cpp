// SPDX-License-Identifier: MIT
#include "report/views.h"

#include <algorithm>

#include "report/body.h"
#include "report/marks.h"

namespace aplomb::report {
namespace {

constexpr double newtons_room = 0.1; // beyond an arrow's point, of the stature

void draw_keyed(SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement,
                const Frame& frame, const std::string& id) {
    if (&half == &drawing.after) draw_keyed_outline(svg, drawing, placement, frame, "keyed-" + id);
}

} // namespace

Box common_extent(const Drawing& drawing, ViewName name) {
    const View& view = drawing.views[name];
    Box box;
    const auto add = [&](const Vec3& p) { box.add(dot(p, view.right), dot(p, view.up)); };
    for (const Half* half : {&drawing.before, &drawing.after}) {
        if (half->reading == nullptr) continue;
        box.add(body_extent(*half, view));
        if (!half->loads.empty()) box.add(extent(half->loads, view));
        for (int i = 0; i < std::clamp(half->reading->edge_count, 0, APLOMB_MAX_EDGES); ++i)
            add(drawing.body.length_in(half->reading->area[i]));
        const Vec3 centre = drawing.body.length_in(half->reading->centre);
        add(centre), add(drawing.on_ground(centre));
        for (const PullArrow& arrow : pull_arrows(drawing, *half))
            add(arrow.from), add(arrow.to + (arrow.to - arrow.from) * (newtons_room * drawing.body.stature /
                                                                       norm(arrow.to - arrow.from)));
    }
    for (const std::vector<Vec3>& patch : bearing_patches(drawing))
        for (const Vec3& corner : patch)
            add(corner);
    if (name == top_view) {
        for (const Vec3& corner : suggested_sole(drawing))
            add(corner);
    }
    if (name != top_view) {
        box.bottom = std::min(box.bottom, drawing.ground);
        box.top += 0.05 * drawing.body.stature; // the plumb line runs on above the head
    }
    return box;
}

const char* view_words(const Drawing& drawing, ViewName name) {
    if (name == front_view) return "front";
    if (name == top_view) return "top, facing down";
    return drawing.from_left ? "side, from the left" : "side, from the right";
}

void draw_upright_view(SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement,
                       const Frame& frame, ViewName name, const std::string& id) {
    draw_ground(svg, drawing, placement, frame);
    draw_area_bar(svg, drawing, half, placement);
    draw_solids(svg, drawing, half, placement, frame);
    draw_keyed(svg, drawing, half, placement, frame, id);
    if (drawing.lines) draw_body_lines(svg, drawing, half, placement);
    draw_patches_edge_on(svg, drawing, placement);
    draw_plumb_line(svg, drawing, half, placement, frame);
    draw_balance_dot(svg, drawing, half, placement);
    draw_pulls(svg, drawing, half, placement, frame);
    draw_load_masses(svg, drawing, half, placement, frame, name);
    if (name == front_view && !many_feet(drawing)) draw_shares_below(svg, drawing, half, placement, frame);
}

void draw_top_view(SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement,
                   const Frame& frame, const std::string& id, bool shares) {
    // The body would hide its own feet: it is faint here, and the feet show through.
    svg.open("g", R"(opacity="0.4")");
    draw_solids(svg, drawing, half, placement, frame);
    svg.close("g");
    draw_feet_of(svg, drawing, half, placement);
    draw_keyed(svg, drawing, half, placement, frame, id);
    draw_area(svg, drawing, half, placement);
    if (drawing.lines) draw_body_lines(svg, drawing, half, placement);
    draw_patches(svg, drawing, placement);
    if (&half == &drawing.after || !drawing.has_after) draw_suggested_sole(svg, drawing, placement);
    draw_balance_point(svg, drawing, half, placement, frame);
    draw_pulls(svg, drawing, half, placement, frame);
    if (shares && many_feet(drawing)) draw_shares_beside(svg, drawing, half, placement, frame);
}

void draw_camera_view(SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement,
                      const Frame& frame, const std::string& id) {
    draw_area(svg, drawing, half, placement);
    draw_patches(svg, drawing, placement);
    draw_solids(svg, drawing, half, placement, frame);
    draw_keyed(svg, drawing, half, placement, frame, id);
    if (drawing.lines) draw_body_lines(svg, drawing, half, placement);
    if (placement.visible(drawing.body.length_in(half.reading->centre)))
        draw_plumb_line(svg, drawing, half, placement, frame);
    draw_pulls(svg, drawing, half, placement, frame);
}

} // namespace aplomb::report
