// SPDX-License-Identifier: MIT
// All sizes are CSS pixels, 1/96 inch: a printed A4 page, landscape, has 1039 of them across and 710 down.
#include "report/html_page.h"

#include <algorithm>
#include <cmath>

#include "report/html.h"
#include "report/mass_bar.h"
#include "report/views.h"
#include "report/words.h"

namespace aplomb::report {
namespace {

constexpr double half_width = 484, gap = 10; // of BEFORE or AFTER beside each other; between views
constexpr double upright_height = 246, lower_height = 164; // front and side; top and camera below them
constexpr double full_height = 400;                        // all three in one row and no camera
constexpr double side_room = 14, ground_room = 40, scale_room = 24;
constexpr double least_width = 176; // two shares below the feet

constexpr const char* page_style = R"(
.halves { display: flex; gap: 20px; margin: 12px 0 16px; }
.half { flex: 1 1 0; min-width: 0; }
.half + .half { border-left: 1px solid #808080; padding-left: 20px; }
.half h2 { display: inline; margin-right: 10px; }
.caption { color: #404040; }
.verdict { margin: 2px 0 10px; font-size: 19px; font-weight: bold; }
.out { color: #D55E00; }
.views { display: flex; flex-wrap: wrap; gap: 10px; justify-content: space-evenly; align-items: flex-end; }
figure { margin: 0; max-width: 100%; }
figcaption { text-align: center; font-size: 13px; color: #404040; }
.lines { display: inline-block; margin: 0 18px 4px 0; }
.lines-name { margin-right: 12px; color: #404040; }
#pelvis:not(:checked) ~ main .pelvis-line, #shoulders:not(:checked) ~ main .shoulder-line,
#action:not(:checked) ~ main .line-of-action { display: none; }
.legend { display: flex; flex-wrap: wrap; gap: 4px 18px; margin: 0; padding: 8px 0 0; list-style: none;
  border-top: 1px solid #808080; font-size: 13px; color: #404040; }
.legend li { display: flex; align-items: center; gap: 6px; }
.columns { display: grid; grid-template-columns: minmax(0, 1fr) minmax(0, 1fr); gap: 24px 40px; margin-top: 28px; }
section.wide { margin-top: 28px; }
.columns section + section { margin-top: 24px; }
.words { margin: 0; white-space: pre-line; }
table { width: 100%; table-layout: fixed; font-variant-numeric: tabular-nums; }
table td, table th { overflow-wrap: break-word; }
caption { text-align: left; font-size: 17px; line-height: 1.25; font-weight: bold; padding-bottom: 6px; }
thead td { width: 31%; } table + table { margin-top: 6px; }
td, th { padding: 3px 12px 3px 0; text-align: left; vertical-align: top; border-bottom: 1px solid #C0C0C0; }
thead th { border-bottom: 1px solid #000; } thead td { border-bottom: 1px solid #000; }
tbody th { font-weight: normal; color: #404040; }
.load { margin: 0 0 20px; } .load h3 { font-size: 15px; margin: 0 0 4px; }
.load p { margin: 2px 0 0; }
.cues { margin: 0; padding-left: 20px; }
@media screen and (max-width: 900px) { .columns { grid-template-columns: minmax(0, 1fr); } }
@media print {
  .lines, .lines-name, .switch { display: none; }
  section, table, .load { break-inside: avoid; } .legend { font-size: 12px; }
  .columns { break-before: page; }
  .columns { gap: 14px 28px; margin-top: 0; }
  section.wide { margin-top: 14px; } td, th { padding-top: 1px; padding-bottom: 1px; }
  .columns section + section { margin-top: 14px; } .load { margin-bottom: 8px; } .load svg { max-width: 600px; }
}
)";

/// The views' sizes, the same for both poses so that they stand in line.
struct Sizes {
    Box boxes[view_count];
    double scale = 1;
    double camera_width = 0, camera_height = 0;
};

double view_width(const Drawing& drawing, const Sizes& sizes, ViewName name, double scale) {
    const bool top = name == top_view;
    const double beside = top && many_feet(drawing) ? 90 : 0; // the shares' words
    const double wanted = scale * sizes.boxes[name].width() + 2 * (side_room + beside);
    const double least = top ? scale_bar_width(drawing, scale) + 2 * side_room : least_width;
    return std::min(std::max(wanted, least), half_width);
}

/// The largest scale at which the views stand in one row, or the view from above in a second one.
double largest_scale(const Drawing& drawing, const Sizes& sizes, bool one_row) {
    const Box &front = sizes.boxes[front_view], &side = sizes.boxes[side_view], &top = sizes.boxes[top_view];
    const double height = one_row && drawing.picture->camera == nullptr ? full_height : upright_height;
    double scale = height / std::max(front.height(), side.height());
    if (!one_row) scale = std::min(scale, lower_height / top.height());
    const auto width = [&](ViewName name) { return view_width(drawing, sizes, name, scale); };
    for (int step = 0; step < 200; ++step, scale *= 0.98) {
        const double upper = width(front_view) + gap + width(side_view);
        if (upper + (one_row ? gap + width(top_view) : 0) <= half_width) break;
    }
    return scale;
}

Sizes measure(const Drawing& drawing) {
    Sizes sizes;
    for (int v = 0; v < view_count; ++v)
        sizes.boxes[v] = common_extent(drawing, static_cast<ViewName>(v));
    sizes.scale = std::max(largest_scale(drawing, sizes, true), largest_scale(drawing, sizes, false));
    if (drawing.picture->camera == nullptr) return sizes;
    const double aspect = drawing.picture->camera->aspect > 0 ? drawing.picture->camera->aspect : 4.0 / 3;
    sizes.camera_height = std::min(lower_height + scale_room, half_width / aspect);
    sizes.camera_width = sizes.camera_height * aspect;
    return sizes;
}

std::string picture_title(const Half& half, const char* view) {
    return half.heading + ", " + view + ": " + verdict(half);
}

std::string figure(const std::string& svg, const std::string& words) {
    return "<figure>" + svg + element("figcaption", words) + "</figure>\n";
}

std::string parallel_view(const Drawing& drawing, const Half& half, const Sizes& sizes, ViewName name) {
    static constexpr const char* names[view_count] = {"front", "side", "top"};
    const Box& box = sizes.boxes[name];
    const bool top = name == top_view;
    const double width = view_width(drawing, sizes, name, sizes.scale);
    const double height = sizes.scale * box.height() + 6 + (top ? scale_room : ground_room);
    const std::string id = half.id + '-' + names[name];
    SvgWriter svg(width, height, picture_title(half, view_words(drawing, name)), id);
    const double middle = width / 2, reach = sizes.scale * box.width() / 2;
    const Placement placement{drawing.views[name],
                              {middle - sizes.scale * (box.left + box.right) / 2, 6 + sizes.scale * box.top},
                              sizes.scale};
    const double bottom = 6 + sizes.scale * box.height();
    if (top) {
        draw_top_view(svg, drawing, half, placement, {middle - reach, middle + reach, 6, bottom}, id);
        const double bar = std::max(reach, scale_bar_width(drawing, sizes.scale) / 2);
        draw_scale_bar(svg, drawing, {middle - bar, bottom + 12}, sizes.scale);
    } else {
        draw_upright_view(svg, drawing, half, placement, {2, width - 2, 6, bottom}, name, id);
    }
    return figure(svg.finish(), view_words(drawing, name));
}

std::string camera_view(const Drawing& drawing, const Half& half, const Sizes& sizes) {
    const double width = sizes.camera_width, height = sizes.camera_height;
    const aplomb_camera& camera = *drawing.picture->camera;
    const std::string id = half.id + "-camera";
    SvgWriter svg(width, height, picture_title(half, "through the file's camera"), id);
    Placement placement = drawing.camera;
    placement.origin = {width / 2, height / 2};
    placement.scale = placement.perspective ? height / 2 / std::tan(camera.vertical_angle / 2)
                                            : height / (camera.height * drawing.body.metres_per_unit);
    draw_camera_view(svg, drawing, half, placement, {0, width, 0, height}, id);
    svg.rectangle({0.5, 0.5}, width - 1, height - 1, R"(fill="none" stroke="#808080" stroke-width="1")");
    return figure(svg.finish(), "through the file's camera");
}

std::string half_section(const Drawing& drawing, const Half& half, const Sizes& sizes) {
    std::string out = R"(<section class="half" aria-labelledby=")" + half.id + R"(">)" + "\n" +
                      element("h2", half.heading, R"(id=")" + half.id + R"(")");
    if (!half.caption.empty()) out += element("span", half.caption, R"(class="caption")");
    out +=
        element("p", verdict(half), out_of_balance(half) ? R"(class="verdict out")" : R"(class="verdict")");
    out += R"(<div class="views">)"
           "\n";
    for (int v = 0; v < view_count; ++v)
        out += parallel_view(drawing, half, sizes, static_cast<ViewName>(v));
    if (drawing.picture->camera != nullptr) out += camera_view(drawing, half, sizes);
    return out + "</div>\n</section>\n";
}

std::string switches(const Drawing& drawing) {
    static constexpr const char* lines[][2] = {
        {"pelvis", "pelvis line"}, {"shoulders", "shoulder line"}, {"action", "line of action"}};
    std::string out = element("span", "Drawn as well:", R"(class="lines-name")");
    for (const auto& [id, words] : lines) {
        out += R"(<input class="switch" type="checkbox" id=")" + std::string(id) + '"';
        if (drawing.picture->lines == 1) out += R"( checked="checked")";
        out += "/>" + element("label", words, R"(class="lines" for=")" + std::string(id) + '"');
    }
    return out;
}

template<class Sample>
std::string legend_item(const char* words, Sample sample) {
    SvgWriter svg(22, 14);
    sample(svg, Point{11, 7});
    return "<li>" + svg.finish() + escape(words) + "</li>\n";
}

std::string legend(const Drawing& drawing) {
    const auto block = [](const char* style) {
        return [style](SvgWriter& svg, Point p) { svg.rectangle({p.x - 9, p.y - 4}, 18, 9, style); };
    };
    const auto stroke = [](const char* style) {
        return [style](SvgWriter& svg, Point p) { svg.line({p.x - 10, p.y}, {p.x + 10, p.y}, style); };
    };
    std::string out = R"(<ul class="legend" aria-label="Legend">)"
                      "\n";
    out += legend_item("centre of mass", [](SvgWriter& svg, Point p) { draw_centre_of_mass(svg, p, 6); });
    out += legend_item("plumb line", stroke(R"(stroke="#000000" stroke-width="1.2" stroke-dasharray="6 3")"));
    out += legend_item("support area",
                       block(R"(fill="#56B4E9" fill-opacity="0.4" stroke="#1F6F9C" stroke-width="1")"));
    out += legend_item("rest zone", block(R"(fill="none" stroke="#1F6F9C" stroke-width="0.6")"));
    out += legend_item("home, where the weight belongs at rest",
                       [](SvgWriter& svg, Point p) { draw_home(svg, p); });
    out += legend_item("out of balance", block(R"-(fill="url(#out-of-balance)")-"));
    if (load_count(drawing) > 0)
        out += legend_item("load", block(R"(fill="#E69F00" stroke="#7A5500" stroke-width="1")"));
    if (drawing.has_after)
        out += legend_item("keyed pose", block(R"(fill="none" stroke="#404040" stroke-width="0.9" rx="4")"));
    return out + "</ul>\n";
}

std::string mass_legend() {
    const auto bar = [](const char* style, double half_height) {
        return [=](SvgWriter& svg, Point p) {
            svg.rectangle({p.x - 9, p.y - half_height}, 18, 2 * half_height, style);
        };
    };
    return R"(<ul class="legend" aria-label="Legend of the bars">)"
           "\n" +
           legend_item("stands: masses with which the pose does not fall",
                       bar(R"(fill="#FFFFFF" stroke="#000000" stroke-width="1")", 6)) +
           legend_item("rests: masses with which it rests over the middle of the feet",
                       bar(R"(fill="#56B4E9" fill-opacity="0.55" stroke="#1F6F9C" stroke-width="1")", 3.5)) +
           legend_item("the mass that it reads as",
                       [](SvgWriter& svg, Point p) {
                           svg.polygon({{p.x, p.y - 7}, {p.x + 5, p.y}, {p.x, p.y + 7}, {p.x - 5, p.y}},
                                       R"(fill="#000000")");
                       }) +
           "</ul>\n";
}

std::string load_sentence(const Half& half, int load, const char* when) {
    const aplomb_load_reading& r = half.reading->loads[load];
    std::string out = std::string(when) + ": stands with " + range_words(r.stands_min, r.stands_max) +
                      "; rests with " + range_words(r.rests_min, r.rests_max);
    return out + (r.tells != 0 ? "; reads as " : "; ") + reads_as_words(r) + ".";
}

std::string loads_section(const Drawing& drawing) {
    if (load_count(drawing) == 0) return "";
    std::string out = R"(<section class="wide">)"
                      "\n" +
                      element("h2", "What the load reads as, going by the pose");
    for (int i = 0; i < load_count(drawing); ++i) {
        const aplomb_load& load = drawing.picture->situation->loads[i];
        out += R"(<div class="load">)"
               "\n" +
               element("h3", fixed(load.mass, 1) + " kg, " + holder_words(drawing, load) +
                                 (load.hanging != 0 ? ", hanging" : ""));
        out += mass_bar(drawing, i, "mass-" + std::to_string(i + 1));
        out += element("p", load_sentence(drawing.before, i, drawing.has_after ? "Before" : "The pose"));
        if (drawing.has_after) out += element("p", load_sentence(drawing.after, i, "After"));
        out += "</div>\n";
    }
    return out + mass_legend() + "</section>\n";
}

std::string cues_section(const Drawing& drawing) {
    std::string items;
    for (const std::string& cue : cue_words(drawing))
        items += element("li", cue);
    if (items.empty()) return "";
    return "<section>\n" + element("h2", cues_heading) +
           R"(<ul class="cues">)"
           "\n" +
           items + "</ul>\n</section>\n";
}

std::string controls_section(const Drawing& drawing) {
    if (drawing.picture->result == nullptr) return "";
    const aplomb_controls& c = drawing.picture->result->controls;
    double shift[3];
    for (int k = 0; k < 3; ++k)
        shift[k] = c.hips_shift[k] * drawing.body.metres_per_unit;
    const auto row = [](const char* name, Cells cells) {
        cells.insert(cells.begin(), name);
        return cells;
    };
    return "<section>\n" +
           table("Control values for a rig, as changes from the key",
                 {"sideways", "up or down", "fore or aft"},
                 {row("hips, shift", shift_words(drawing, shift))}) +
           table("", {"bend", "lean", "twist"},
                 {row("hips, turn", turn_words(c.hips_turn)), row("chest against hips", turn_words(c.chest)),
                  row("head against chest", turn_words(c.neck))}) +
           "</section>\n";
}

std::string words_section(const Drawing& drawing) {
    const std::string text = text_words(drawing);
    if (text.empty()) return "";
    return "<section>\n" + element("h2", drawing.has_after ? "What was changed" : "In words") +
           element("p", text, R"(class="words")") + "</section>\n";
}

std::string readings_section(const Drawing& drawing) {
    std::vector<Cells> rows;
    for (const auto& [name, value] : reading_rows(drawing, drawing.before))
        rows.push_back({name, value});
    if (!drawing.has_after) return "<section>\n" + table("Reading", {"pose"}, rows) + "</section>\n";
    const Rows after = reading_rows(drawing, drawing.after);
    for (size_t i = 0; i < rows.size(); ++i)
        rows[i].push_back(after[i].second);
    return "<section>\n" + table("Readings", {"before", "after"}, rows) + "</section>\n";
}

} // namespace

std::string html_page(Drawing drawing) {
    const char* given = drawing.picture->title;
    const std::string title = given != nullptr && given[0] != '\0' ? given : "Balance of a pose";
    drawing.lines = true; // drawn always; the switches hide them
    const Sizes sizes = measure(drawing);
    std::string out =
        html_start(title, page_style) + html_patterns() + element("h1", title) + switches(drawing);
    out += "<main>\n"
           R"(<div class="halves">)"
           "\n" +
           half_section(drawing, drawing.before, sizes);
    if (drawing.has_after) out += half_section(drawing, drawing.after, sizes);
    out += "</div>\n" + legend(drawing) +
           R"(<div class="columns">)"
           "\n";
    out +=
        "<div>\n" + words_section(drawing) + controls_section(drawing) + cues_section(drawing) + "</div>\n";
    out += readings_section(drawing) + "</div>\n" + loads_section(drawing) + "</main>\n";
    return out + html_note() + html_end();
}

} // namespace aplomb::report
