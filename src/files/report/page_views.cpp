// SPDX-License-Identifier: MIT
#include "report/page_views.h"

#include <algorithm>

#include "report/body.h"
#include "report/views.h"
#include "report/words.h"

namespace aplomb::report {
namespace {

constexpr double most_height = 470; // of the body
constexpr double camera_height = 300;
constexpr double side_room = 14, ground_room = 44;
constexpr double least_width = 216, shares_room = 87; // two shares below the feet; one beside them

/// The largest scale at which front and side stand in one row, or each in one of its own.
void choose_scale(const Drawing& drawing, Sizes& sizes, double width, double least) {
    double tallest = 0;
    for (const Half* half : {&drawing.before, &drawing.after})
        if (half->reading != nullptr)
            for (const ViewName name : {front_view, side_view})
                tallest = std::max(tallest, body_extent(*half, drawing.views[name]).height());
    const auto wide = [&](ViewName name) { return view_width(drawing, sizes, name); };
    for (double height = most_height; height >= least; height -= 2) {
        sizes.scale = height / tallest;
        if (wide(front_view) + view_gap + wide(side_view) <= width) return;
    }
    // A long body's side has a row of its own, then front and top share one.
    if (wide(side_view) > wide(front_view)) std::swap(sizes.order[0], sizes.order[1]);
    sizes.scale = most_height / tallest;
    while (std::max({wide(front_view), wide(side_view), wide(top_view)}) > width)
        sizes.scale *= 0.99;
}

} // namespace

double view_width(const Drawing& drawing, const Sizes& sizes, ViewName name) {
    const bool top = name == top_view, many = many_feet(drawing);
    const double room = top && many ? shares_room : side_room;
    const double wanted = sizes.scale * sizes.boxes[name].width() + 2 * room;
    return top || many ? wanted : std::max(wanted, least_width);
}

double view_height(const Sizes& sizes, ViewName name) {
    return 6 + sizes.scale * sizes.boxes[name].height() + (name == top_view ? 6 : ground_room);
}

Sizes measure(const Drawing& drawing, double width, double least) {
    Sizes sizes;
    for (int v = 0; v < view_count; ++v)
        sizes.boxes[v] = common_extent(drawing, static_cast<ViewName>(v));
    choose_scale(drawing, sizes, width, least);
    if (drawing.picture->camera == nullptr) return sizes;
    const double aspect = drawing.picture->camera->aspect > 0 ? drawing.picture->camera->aspect : 4.0 / 3;
    sizes.camera_height = std::min(camera_height, width / aspect);
    sizes.camera_width = sizes.camera_height * aspect;
    return sizes;
}

std::string view_title(const Half& half, const char* view) {
    return half.heading + ", " + view + ": " + verdict(half);
}

PageView page_view(const Drawing& drawing, const Half& half, const Sizes& sizes, ViewName name) {
    static constexpr const char* names[view_count] = {"front", "side", "top"};
    const Box& box = sizes.boxes[name];
    const double width = view_width(drawing, sizes, name), height = view_height(sizes, name);
    const std::string id = half.id + '-' + names[name];
    const char* words = view_words(drawing, name);
    SvgWriter svg(width, height, view_title(half, words), id);
    const double middle = width / 2, reach = sizes.scale * box.width() / 2;
    const Placement placement{drawing.views[name],
                              {middle - sizes.scale * (box.left + box.right) / 2, 6 + sizes.scale * box.top},
                              sizes.scale,
                              false,
                              {},
                              drawing.tolerance};
    const double bottom = 6 + sizes.scale * box.height();
    if (name == top_view)
        draw_top_view(svg, drawing, half, placement, {middle - reach, middle + reach, 6, bottom}, id);
    else
        draw_upright_view(svg, drawing, half, placement, {2, width - 2, 6, bottom}, name, id);
    return {svg.finish(), width, names[name], words};
}

} // namespace aplomb::report
