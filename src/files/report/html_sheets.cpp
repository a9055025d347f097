// SPDX-License-Identifier: MIT
// All sizes are CSS pixels, 1/96 inch. A sheet is drawn for an A4 page, upright or landscape, whichever shows the
// poses larger, and shown at any width: its pictures share one width, and so one scale.
#include "report/html_sheets.h"

#include <algorithm>
#include <cmath>
#include <memory>

#include "report/body.h"
#include "report/html.h"
#include "report/views.h"
#include "report/words.h"

namespace aplomb::report {
namespace {

struct Paper {
    double width = 0, height = 0; // within the margins, less the closing sentence
    const char* name = "";
};
constexpr Paper papers[] = {{1035, 660, "landscape"}, {708, 985, "upright"}};
constexpr double screen_width = 1232, screen_height = 520; // of a sheet; of a pose on it, at the most
constexpr double names_width = 92;                         // of the rows' names
constexpr double cell_room = 10, bare_room = 5;            // beside a pose; below the ground
constexpr double ground_room = 22;                         // the same with marks
constexpr double arrow_room = 34;   // below the ground with the arrow of a pose out of balance
constexpr double words_room = 22;   // below a view from above of a pose out of balance
constexpr double least_column = 78; // on a narrow screen, which then scrolls: the longest word of a caption
constexpr double title_height = 40, line_height = 15.5, words_size = 12.5;

constexpr const char* style = R"(
.sheet { margin: 0 0 48px; }
.sheet h1, .sheet h2 { font-size: 22px; margin: 0 0 6px; padding-bottom: 6px; border-bottom: 1.5px solid #000; }
.sheet .text { margin: 0 0 8px; font-size: 13.5px; white-space: pre-line; }
.plate { width: 100%; max-width: var(--screen); table-layout: fixed; margin: 0 auto; }
.plate td, .plate th { padding: 0; vertical-align: bottom; }
.plate .name { width: 92px; }
.plate thead th { font-size: 13px; line-height: 1.2; text-align: center; padding: 6px 4px 2px; }
.plate tbody th { font-size: 13px; line-height: 1.25; text-align: left; font-weight: bold; vertical-align: middle;
  padding-right: 8px; overflow-wrap: break-word; }
.plate svg { width: 100%; max-width: none; overflow: visible; }
.scale { display: flex; align-items: center; gap: 5px; font-size: 13px; line-height: 14px; }
.plate .caption td { vertical-align: top; text-align: center; padding: 3px 5px 14px; font-size: 12.5px;
  line-height: 1.24; white-space: pre-line; }
@media screen and (max-width: 900px) { .sheet { overflow-x: auto; } .plate { min-width: var(--least); } }
@media print {
  .plate { max-width: var(--paper); }
  .sheet { break-before: page; break-inside: avoid; margin: 0; }
  .sheet:first-of-type { break-before: auto; }
  .landscape { page: landscape; } .upright { page: upright; }
}
@page landscape { size: A4 landscape; }
@page upright { size: A4 portrait; }
)";

/// A cell's picture and where its pose stands.
struct Pose {
    std::shared_ptr<Drawing> drawing; // cells of one picture share it
    ViewName view = front_view;
    bool marks = false;
    const char* caption = nullptr;
    Vec3 foot; // the middle of the keyed pose's support area: the middle of its cell

    const Half& half() const { return drawing->has_after ? drawing->after : drawing->before; }
    /// The height that stands on the row's ground line: the ground, or a view from above's lower end.
    double base() const { return view == top_view ? common_extent(*drawing, view).bottom : drawing->ground; }
    /// What it covers about its foot and over its base.
    Box box() const {
        const Box all = common_extent(*drawing, view);
        const double x = dot(foot, drawing->views[view].right), y = base();
        return {all.left - x, all.right - x, all.bottom - y, all.top - y};
    }
};

struct Row {
    std::vector<Pose> poses;
    double above = 0, below = 0; // metres of the tallest pose over and under the ground
    double room = bare_room;     // page units below that
    bool upright = false;
};

/// All the rows of a sheet, measured.
struct Plate {
    std::vector<Row> rows;
    double left = 0, right = 0; // metres that the widest poses reach from their feet
    double scale = 1, cell = 1; // page units per metre; a cell's width
    bool row_names = false;
    Paper paper;
};

Vec3 foot_of(const Drawing& drawing) {
    const aplomb_reading& r = *drawing.before.reading;
    Vec3 sum;
    for (int i = 0; i < r.edge_count; ++i)
        sum += drawing.body.length_in(r.area[i]);
    return r.edge_count > 0 ? sum / r.edge_count : drawing.body.length_in(r.body_centre);
}

Pose make_pose(const aplomb_cell& cell, const std::vector<Pose>& earlier) {
    Pose pose;
    pose.caption = cell.caption;
    if (cell.picture == nullptr) return pose;
    for (const Pose& other : earlier)
        if (other.drawing && other.drawing->picture == cell.picture) pose.drawing = other.drawing;
    if (!pose.drawing) pose.drawing = std::make_shared<Drawing>(make_drawing(*cell.picture));
    pose.view = static_cast<ViewName>(cell.view);
    pose.marks = cell.marks == 1;
    pose.foot = foot_of(*pose.drawing);
    return pose;
}

std::vector<Row> make_rows(const aplomb_sheet& sheet) {
    std::vector<Pose> poses;
    for (int32_t i = 0; i < sheet.cell_count; ++i)
        poses.push_back(make_pose(sheet.cells[i], poses));
    std::vector<Row> rows;
    for (size_t i = 0; i < poses.size(); ++i) {
        if (i % static_cast<size_t>(sheet.columns) == 0) rows.emplace_back();
        rows.back().poses.push_back(poses[i]);
    }
    return rows;
}

void measure_row(Plate& plate, Row& row) {
    for (const Pose& pose : row.poses) {
        if (!pose.drawing) continue;
        const Box box = pose.box();
        plate.left = std::max(plate.left, -box.left), plate.right = std::max(plate.right, box.right);
        row.above = std::max(row.above, box.top), row.below = std::max(row.below, -box.bottom);
        if (pose.view == top_view) {
            // Below the figure there is always a place for the words on how far the balance point has to go.
            if (pose.marks && out_of_balance(pose.half())) row.room = std::max(row.room, words_room);
            continue;
        }
        row.upright = true;
        row.room = std::max(row.room, !pose.marks                   ? bare_room
                                      : out_of_balance(pose.half()) ? arrow_room
                                                                    : ground_room);
    }
}

size_t caption_lines(const Row& row, double width) {
    size_t most = 0;
    for (const Pose& pose : row.poses)
        if (pose.caption != nullptr) most = std::max(most, wrap(pose.caption, width - 10, words_size).size());
    return most;
}

/// The width in which no caption's line breaks.
double caption_width(const std::vector<Row>& rows) {
    double widest = 0;
    for (const Row& row : rows)
        for (const Pose& pose : row.poses)
            for (const std::string& line : wrap(pose.caption != nullptr ? pose.caption : "", 1e9, words_size))
                widest = std::max(widest, text_width(line, words_size));
    return widest + 10;
}

double words_height(const aplomb_sheet& sheet, const Plate& plate, double cell) {
    double height = title_height + 24; // the title and the scale bar
    if (sheet.text != nullptr)
        height +=
            line_height * 1.25 * static_cast<double>(wrap(sheet.text, plate.paper.width, 13.5).size()) + 8;
    if (sheet.column_names != nullptr) height += 2 * line_height + 8;
    for (const Row& row : plate.rows)
        height += line_height * static_cast<double>(caption_lines(row, cell)) + 17;
    return height;
}

/// Fits measured rows on a paper.
Plate fitted(const aplomb_sheet& sheet, Plate plate, const Paper& paper) {
    plate.paper = paper;
    double metres = 0, rooms = 0;
    for (const Row& row : plate.rows)
        metres += row.above + row.below, rooms += row.room;
    const double across = (paper.width - (plate.row_names ? names_width : 0)) / sheet.columns;
    const double room = paper.height - words_height(sheet, plate, across) - rooms;
    const double width = std::max(plate.left + plate.right, 1e-3);
    plate.scale = std::min((across - 2 * cell_room) / width, std::max(room, 120.0) / std::max(metres, 1e-3));
    // Few poses are not spread far apart: a cell is at most this much wider than the widest pose or caption.
    plate.cell =
        std::min(across, std::max(1.5 * plate.scale * width + 2 * cell_room + 40, caption_width(plate.rows)));
    return plate;
}

Plate make_plate(const aplomb_sheet& sheet) {
    Plate plate;
    plate.rows = make_rows(sheet);
    plate.row_names = sheet.row_names != nullptr;
    for (Row& row : plate.rows)
        measure_row(plate, row);
    const Plate landscape = fitted(sheet, plate, papers[0]), upright = fitted(sheet, plate, papers[1]);
    // Where upright paper breaks captions into lines, the poses have to become that much larger on it.
    const double least = upright.cell < caption_width(plate.rows) ? 1.3 : 1.02;
    return upright.scale > least * landscape.scale ? upright : landscape;
}

void draw_pose(SvgWriter& svg, const Pose& pose, const Placement& placement, const Frame& frame,
               const std::string& id) {
    const Drawing& drawing = *pose.drawing;
    const bool top = pose.view == top_view;
    if (pose.marks && top) return draw_top_view(svg, drawing, pose.half(), placement, frame, id, false);
    if (pose.marks) draw_area_bar(svg, drawing, pose.half(), placement);
    draw_solids(svg, drawing, pose.half(), placement, frame);
    if (drawing.has_after) draw_keyed_outline(svg, drawing, placement, frame, "keyed-" + id);
    if (drawing.lines) draw_body_lines(svg, drawing, pose.half(), placement);
    if (!pose.marks) return;
    draw_plumb_line(svg, drawing, pose.half(), placement, frame);
    draw_ground_arrow(svg, drawing, pose.half(), placement, frame);
}

std::string cell_title(const Pose& pose, const std::string& place) {
    std::string title = place + view_words(*pose.drawing, pose.view) + ", " + verdict(pose.half());
    return pose.caption != nullptr ? title + ": " + pose.caption : title;
}

/// A row's ground line runs on through all its cells, empty ones as well.
std::string draw_cell(const Plate& plate, const Row& row, const Pose& pose, const std::string& place,
                      const std::string& id) {
    const double ground = plate.scale * row.above + 4;
    const double height = ground + plate.scale * row.below + row.room;
    const auto draw = [&](SvgWriter svg) {
        if (row.upright && !(pose.drawing && pose.view == top_view))
            svg.line(
                {-0.5, ground}, {plate.cell + 0.5, ground},
                R"(stroke="#000000" stroke-width="1" shape-rendering="crispEdges" vector-effect="non-scaling-stroke")");
        if (pose.drawing) {
            const View& view = pose.drawing->views[pose.view];
            const double x = dot(pose.foot, view.right), y = pose.base();
            const double middle = (plate.cell - plate.scale * (plate.right - plate.left)) / 2;
            draw_pose(svg, pose, {view, {middle - plate.scale * x, ground + plate.scale * y}, plate.scale},
                      {0, plate.cell, 4, height}, id);
        }
        return svg.finish();
    };
    if (!pose.drawing) return draw(SvgWriter(plate.cell, height));
    return draw(SvgWriter(plate.cell, height, cell_title(pose, place), id));
}

std::string name_of(const char* const* names, size_t index) {
    return names != nullptr && names[index] != nullptr ? names[index] : "";
}

std::string caption_row(const Plate& plate, const Row& row, size_t columns) {
    if (caption_lines(row, plate.cell) == 0)
        return R"(<tr class="caption"><td colspan=")" + std::to_string(columns + plate.row_names) +
               R"("></td></tr>)"
               "\n";
    std::string out = R"(<tr class="caption">)";
    if (plate.row_names) out += "<td></td>";
    for (const Pose& pose : row.poses)
        out += element("td", pose.caption != nullptr ? pose.caption : "");
    return out + "</tr>\n";
}

/// The scale bar, in a cell of its own, so that it grows and shrinks with the poses; its words do not.
std::string scale_row(const Plate& plate) {
    for (const Row& row : plate.rows)
        for (const Pose& pose : row.poses)
            if (pose.drawing) {
                const double width = scale_bar_width(pose.drawing->body, plate.scale);
                SvgWriter svg(width, 4);
                draw_scale_bar(svg, pose.drawing->body, {0.5, 0.5}, plate.scale);
                return std::string(plate.row_names ? "<tr><td></td><td>" : "<tr><td>") +
                       R"(<div class="scale"><div style="width: )" + number(100 * width / plate.cell) +
                       R"(%">)" + svg.finish() + "</div>" + element("span", scale_words(pose.drawing->body)) +
                       "</div></td></tr>\n";
            }
    return "";
}

/// A cell's width on a wide screen: larger than on paper as far as the window and the poses' height go.
double screen_cell(const Plate& plate, double names, int columns) {
    double tallest = 0;
    for (const Row& row : plate.rows)
        tallest = std::max(tallest, plate.scale * row.above);
    const double larger = std::min(1.5, screen_height / std::max(tallest, 1.0)) * plate.cell;
    return std::max(plate.cell, std::min(larger, (screen_width - names) / columns));
}

} // namespace

std::string sheet_style() {
    return style;
}

std::string sheet_section(const aplomb_sheet& sheet, const std::string& id, const char* heading,
                          const std::string& note) {
    const Plate plate = make_plate(sheet);
    const auto columns = static_cast<size_t>(sheet.columns);
    std::string out = R"(<section class="sheet )" + std::string(plate.paper.name) + R"(" aria-labelledby=")" +
                      id +
                      R"(">)"
                      "\n";
    out += element(heading, sheet.title != nullptr ? sheet.title : "Poses", R"(id=")" + id + R"(")");
    if (sheet.text != nullptr) out += element("p", sheet.text, R"(class="text")");
    const double names = plate.row_names ? names_width : 0;
    out += R"(<table class="plate" style="--paper: )" + number(names + plate.cell * sheet.columns) +
           "px; --screen: " + number(names + screen_cell(plate, names, sheet.columns) * sheet.columns) +
           "px; --least: " + number(names + least_column * sheet.columns) + R"(px"><colgroup>)";
    if (plate.row_names) out += R"(<col class="name"/>)";
    out += R"(<col span=")" + std::to_string(columns) +
           R"("/></colgroup>)"
           "\n";
    if (sheet.column_names != nullptr) {
        out += plate.row_names ? "<thead><tr><td></td>" : "<thead><tr>";
        for (size_t c = 0; c < columns; ++c)
            out += element("th", name_of(sheet.column_names, c), R"(scope="col")");
        out += "</tr></thead>\n";
    }
    out += "<tbody>\n";
    for (size_t r = 0; r < plate.rows.size(); ++r) {
        const Row& row = plate.rows[r];
        const std::string name = name_of(sheet.row_names, r);
        out += "<tr>";
        if (plate.row_names) out += element("th", name, R"(scope="row")");
        for (size_t c = 0; c < columns; ++c) {
            const std::string column = name_of(sheet.column_names, c);
            const std::string place =
                (name.empty() ? "" : name + ", ") + (column.empty() ? "" : column + ", ");
            const Pose empty;
            out += "<td>" +
                   draw_cell(plate, row, c < row.poses.size() ? row.poses[c] : empty, place,
                             id + '-' + std::to_string(r * columns + c + 1)) +
                   "</td>\n";
        }
        out += "</tr>\n" + caption_row(plate, row, columns);
    }
    return out + scale_row(plate) + "</tbody></table>\n" + note + "</section>\n";
}

std::string html_sheets(const aplomb_sheet* sheets, int32_t sheet_count) {
    const char* title = sheets[0].title;
    std::string out = html_start(title != nullptr ? title : "Poses", style) + html_patterns() + "<main>\n";
    for (int32_t i = 0; i < sheet_count; ++i)
        out += sheet_section(sheets[i], "sheet-" + std::to_string(i + 1), "h1",
                             i + 1 == sheet_count ? html_note() : "");
    return out + "</main>\n" + html_end();
}

} // namespace aplomb::report
