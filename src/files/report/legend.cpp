// SPDX-License-Identifier: MIT
#include "report/legend.h"

#include "report/marks.h"
#include "report/words.h"

namespace aplomb::report {
namespace {

template<class Sample>
LegendItem item(const char* words, Sample sample, const std::string& of = "") {
    SvgWriter svg(22, 14);
    sample(svg, Point{11, 7});
    return {svg.finish(), words, of};
}

} // namespace

std::vector<LegendItem> picture_legend(const Drawing& drawing) {
    const auto block = [](const char* style) {
        return [style](SvgWriter& svg, Point p) { svg.rectangle({p.x - 9, p.y - 4}, 18, 9, style); };
    };
    const auto stroke = [](const char* style) {
        return [style](SvgWriter& svg, Point p) { svg.line({p.x - 10, p.y}, {p.x + 10, p.y}, style); };
    };
    std::vector<LegendItem> items = {
        item("centre of mass", [](SvgWriter& svg, Point p) { draw_centre_of_mass(svg, p, 6); }),
        item("plumb line", stroke(R"(stroke="#000000" stroke-width="1.2" stroke-dasharray="6 3")")),
        item("support area", block(R"(fill="#56B4E9" fill-opacity="0.4" stroke="#1F6F9C" stroke-width="1")")),
        item("rest zone", block(R"(fill="none" stroke="#1F6F9C" stroke-width="0.6")")),
        item("home, where the weight belongs at rest", [](SvgWriter& svg, Point p) { draw_home(svg, p); }),
        item("out of balance", block(R"-(fill="url(#out-of-balance)")-"))};
    if (balance_point_apart(drawing))
        items.push_back(item("balance point", [](SvgWriter& svg, Point p) { draw_dot(svg, p); }));
    if (!pull_arrows(drawing, drawing.before).empty())
        items.push_back(item("pull", [](SvgWriter& svg, Point p) { draw_pull_sample(svg, p); }));
    if (!bearing_patches(drawing).empty())
        items.push_back(
            item("what else bears",
                 block(R"(fill="#56B4E9" fill-opacity="0.4" stroke="#1F6F9C" stroke-width="1.2")")));
    if (!suggested_sole(drawing).empty())
        items.push_back(item("where one foot would change the body least",
                             [](SvgWriter& svg, Point p) { draw_suggested_sample(svg, p); }));
    if (load_count(drawing) > 0)
        items.push_back(item("load", block(R"(fill="#E69F00" stroke="#7A5500" stroke-width="1")")));
    if (drawing.has_after)
        items.push_back(
            item("keyed pose", block(R"(fill="none" stroke="#404040" stroke-width="0.9" rx="4")")));
    for (const BodyLine& line : body_lines)
        items.push_back(item(
            line.words, [&](SvgWriter& svg, Point p) { draw_line_sample(svg, line, p); }, line.name));
    return items;
}

std::vector<LegendItem> mass_legend() {
    const auto bar = [](const char* style, double half_height) {
        return [=](SvgWriter& svg, Point p) {
            svg.rectangle({p.x - 9, p.y - half_height}, 18, 2 * half_height, style);
        };
    };
    return {item("stands: masses with which the pose does not fall",
                 bar(R"(fill="#FFFFFF" stroke="#000000" stroke-width="1")", 6)),
            item("rests: masses with which it rests over the middle of the feet",
                 bar(R"(fill="#56B4E9" fill-opacity="0.55" stroke="#1F6F9C" stroke-width="1")", 3.5)),
            item("the mass that it reads as", [](SvgWriter& svg, Point p) {
                svg.polygon({{p.x, p.y - 7}, {p.x + 5, p.y}, {p.x, p.y + 7}, {p.x - 5, p.y}},
                            R"(fill="#000000")");
            })};
}

} // namespace aplomb::report
