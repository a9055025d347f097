// SPDX-License-Identifier: MIT
// All sizes are CSS pixels, 1/96 inch: a printed A4 page, landscape, has 1039 of them across and 710 down.
#include "report/html_page.h"

#include <algorithm>
#include <cmath>

#include "report/body.h"
#include "report/html.h"
#include "report/legend.h"
#include "report/mass_bar.h"
#include "report/page_views.h"
#include "report/views.h"
#include "report/words.h"

namespace aplomb::report {
namespace {

constexpr double narrow_width = 355, slim_width = 312; // of a half in windows of 800; of a pose in one of 360
constexpr double printed_width = 1035, printed_half = 497,
                 printed_height = 556;               // of the views on the first page
constexpr double caption_room = 24, scale_room = 22; // below a view

constexpr const char* page_style = R"(
.halves { display: flex; gap: 20px; margin: 12px 0 16px; }
.half { flex: 1 1 0; min-width: 0; }
.half + .half { border-left: 1px solid #808080; padding-left: 20px; }
.half h2 { display: inline; margin-right: 10px; }
.caption { color: #404040; }
.verdict { margin: 2px 0 10px; font-size: 19px; line-height: 1.3; font-weight: bold; }
.out { color: #D55E00; }
.views { --fit: 1; display: flex; flex-wrap: wrap; gap: 10px; justify-content: space-evenly; align-items: flex-end; }
figure { margin: 0; max-width: 100%; }
figure svg { width: calc(var(--wide) * var(--fit) * 1px); }
figcaption { text-align: center; font-size: 13px; color: #404040; }
.scale { font-size: 13px; color: #404040; display: flex; justify-content: center; align-items: center; gap: 5px; }
.lines { display: inline-block; margin: 0 18px 4px 0; }
.lines-name { margin-right: 12px; color: #404040; }
#pelvis:not(:checked) ~ main .pelvis-line, #shoulders:not(:checked) ~ main .shoulder-line,
#action:not(:checked) ~ main .line-of-action { display: none; }
.legend { display: flex; flex-wrap: wrap; gap: 4px 18px; margin: 0; padding: 8px 0 0; list-style: none;
  border-top: 1px solid #808080; font-size: 13px; color: #404040; }
.legend li { display: flex; align-items: center; gap: 6px; }
.columns { display: grid; grid-template-columns: minmax(0, 1fr) minmax(0, 1fr); gap: 24px 40px; margin-top: 28px; }
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
@media screen and (max-width: 1279px) { .level .verdict { min-height: 2.6em; } }
@media screen and (max-width: 900px) { .columns { grid-template-columns: minmax(0, 1fr); } }
@media screen and (max-width: 799px) {
  .halves { flex-direction: column; }
  .half + .half { border-left: 0; padding-left: 0; border-top: 1px solid #808080; padding-top: 12px; }
}
@media screen and (max-width: 559px) { .lines-name { display: block; } .lines { width: calc(100% - 44px); } }
@media print {
  .lines, .lines-name, .switch { display: none; }
  section, table, .load { break-inside: avoid; } .legend { font-size: 12px; }
  .halves { margin: 4px 0 6px; } .views text { font-size: 14px; } .verdict { margin-bottom: 4px; font-size: 16px; }
  .columns { break-before: page; gap: 14px 28px; margin-top: 0; font-size: 9.5pt; line-height: 1.35; }
  td, th { padding-top: 1px; padding-bottom: 1px; }
  .columns section + section { margin-top: 12px; } .load { margin-bottom: 8px; }
}
)";

/// A view as it lies on the page: its picture's size and what stands below it at any size.
struct Tile {
    double width = 0, height = 0, below = caption_room;
};

std::vector<Tile> tiles_of(const Drawing& drawing, const Sizes& sizes) {
    std::vector<Tile> tiles;
    for (const ViewName name : sizes.order)
        tiles.push_back({view_width(drawing, sizes, name), view_height(sizes, name),
                         name == top_view ? caption_room + scale_room : caption_room});
    if (drawing.picture->camera != nullptr) tiles.push_back({sizes.camera_width, sizes.camera_height});
    return tiles;
}

/// The height of all views in rows no wider than `width`.
double height_in_rows(const std::vector<Tile>& tiles, double width, double fit) {
    double height = 0, used = width, row = 0;
    for (const Tile& tile : tiles) {
        if (used + view_gap + tile.width * fit > width)
            height += row + (row > 0 ? view_gap : 0), used = -view_gap, row = 0;
        used += view_gap + tile.width * fit;
        row = std::max(row, tile.height * fit + tile.below);
    }
    return height + row;
}

/// The largest part of their size at which no view is wider and all together are no higher than this.
double fit_in(const std::vector<Tile>& tiles, double width, double height) {
    double widest = 0;
    for (const Tile& tile : tiles)
        widest = std::max(widest, tile.width);
    double fit = std::min(1.0, width / widest);
    while (fit > 0.2 && height_in_rows(tiles, width, fit) > height)
        fit -= 0.005;
    return fit;
}

/// Smaller views in narrower windows and in print, all by the same part.
std::string fit_style(const Drawing& drawing, const Sizes& sizes) {
    const std::vector<Tile> tiles = tiles_of(drawing, sizes);
    const auto rule = [&](const char* medium, double width, double height) {
        return "@media " + std::string(medium) +
               " { .views { --fit: " + number(fit_in(tiles, width, height), 3) + "; } }\n";
    };
    const bool two = drawing.has_after;
    return rule("screen and (max-width: 1279px)", two ? narrow_width : 2 * narrow_width, 1e9) +
           rule("screen and (max-width: 799px)", slim_width, 1e9) +
           rule("print", two ? printed_half : printed_width, printed_height);
}

/// `more` stands below the caption.
std::string figure(const std::string& svg, double width, const std::string& words,
                   const std::string& more = "") {
    return R"(<figure style="--wide: )" + number(width) + R"(">)" + svg + element("figcaption", words) +
           more + "</figure>\n";
}

/// The words keep their size at whatever size the views are.
std::string scale_line(const Drawing& drawing, double scale) {
    const double width = scale_bar_width(drawing.body, scale);
    SvgWriter svg(width, 4);
    draw_scale_bar(svg, drawing.body, {0.5, 0.5}, scale);
    return R"(<div class="scale" style="--wide: )" + number(width) + R"(">)" + svg.finish() +
           element("span", scale_words(drawing.body)) + "</div>\n";
}

std::string parallel_view(const Drawing& drawing, const Half& half, const Sizes& sizes, ViewName name) {
    const PageView view = page_view(drawing, half, sizes, name);
    return figure(view.svg, view.width, view.words,
                  name == top_view ? scale_line(drawing, sizes.scale) : std::string());
}

std::string camera_view(const Drawing& drawing, const Half& half, const Sizes& sizes) {
    const double width = sizes.camera_width, height = sizes.camera_height;
    const aplomb_camera& camera = *drawing.picture->camera;
    const std::string id = half.id + "-camera";
    SvgWriter svg(width, height, view_title(half, "through the file's camera"), id);
    Placement placement = drawing.camera;
    placement.origin = {width / 2, height / 2};
    placement.scale = placement.perspective ? height / 2 / std::tan(camera.vertical_angle / 2)
                                            : height / (camera.height * drawing.body.metres_per_unit);
    draw_camera_view(svg, drawing, half, placement, {0, width, 0, height}, id);
    svg.rectangle({1, 1}, width - 2, height - 2, R"(fill="none" stroke="#808080" stroke-width="1")");
    return figure(svg.finish(), width, "through the file's camera");
}

/// Whether both headlines take one line in a narrow window.
bool headlines_level(const Drawing& drawing) {
    constexpr size_t most = 30; // characters
    return !drawing.has_after || (headline(drawing, drawing.before).size() <= most &&
                                  headline(drawing, drawing.after).size() <= most);
}

std::string half_section(const Drawing& drawing, const Half& half, const Sizes& sizes) {
    std::string out = R"(<section class="half" aria-labelledby=")" + half.id + R"(">)" + "\n" +
                      element("h2", half.heading, R"(id=")" + half.id + R"(")");
    if (!half.caption.empty()) out += element("span", half.caption, R"(class="caption")");
    out += element("p", headline(drawing, half),
                   out_of_balance(half) ? R"(class="verdict out")" : R"(class="verdict")");
    out += R"(<div class="views">)"
           "\n";
    for (const ViewName name : sizes.order)
        out += parallel_view(drawing, half, sizes, name);
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

std::string legend(const std::vector<LegendItem>& items, const char* name) {
    std::string out = R"(<ul class="legend" aria-label=")" + std::string(name) + "\">\n";
    for (const LegendItem& item : items)
        out += "<li" + (item.of.empty() ? "" : " class=\"" + item.of + '"') + '>' + item.svg +
               escape(item.words) + "</li>\n";
    return out + "</ul>\n";
}

std::string loads_section(const Drawing& drawing) {
    if (load_count(drawing) == 0) return "";
    std::string out = "<section>\n" + element("h2", "What the load reads as, going by the pose");
    for (int i = 0; i < load_count(drawing); ++i) {
        const aplomb_load& load = drawing.picture->situation->loads[i];
        out += R"(<div class="load">)"
               "\n" +
               element("h3", load_words(drawing, load));
        out += mass_bar(drawing, i, "mass-" + std::to_string(i + 1));
        out += element("p", load_sentence(drawing.before, i, drawing.has_after ? "Before" : "The pose"));
        if (drawing.has_after) out += element("p", load_sentence(drawing.after, i, "After"));
        out += "</div>\n";
    }
    return out + legend(mass_legend(), "Legend of the bars") + "</section>\n";
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
    std::vector<Cells> rows = control_rows(drawing);
    const Cells shift = rows.front();
    rows.erase(rows.begin());
    return "<section>\n" +
           table("Control values for a rig, as changes from the key",
                 {"sideways", "up or down", "fore or aft"}, {shift}) +
           table("", {"bend", "lean", "twist"}, rows) + "</section>\n";
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
    drawing.words = page_words;
    const Sizes sizes = measure(drawing, drawing.has_after ? half_width : whole_width);
    std::string out = html_start(title, page_style + fit_style(drawing, sizes)) + html_patterns() +
                      element("h1", title) + switches(drawing);
    out += "<main>\n"
           R"(<div class=")" +
           std::string(headlines_level(drawing) ? "halves" : "halves level") + "\">\n" +
           half_section(drawing, drawing.before, sizes);
    if (drawing.has_after) out += half_section(drawing, drawing.after, sizes);
    out += "</div>\n" + legend(picture_legend(drawing), "Legend") +
           R"(<div class="columns">)"
           "\n";
    out +=
        "<div>\n" + words_section(drawing) + controls_section(drawing) + loads_section(drawing) + "</div>\n";
    out += "<div>\n" + readings_section(drawing) + cues_section(drawing) + "</div>\n</div>\n</main>\n";
    return out + html_note() + html_end();
}

} // namespace aplomb::report
