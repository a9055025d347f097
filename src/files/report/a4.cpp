// SPDX-License-Identifier: MIT
// All sizes are in page units of 1/96 inch: A4 landscape is 1123 x 794 of them.
#include "report/a4.h"

#include <algorithm>
#include <cmath>
#include <functional>

#include "report/views.h"
#include "report/words.h"

namespace aplomb::report {
namespace {

constexpr double page_width = 1123, page_height = 794, margin = 40;
constexpr double title_y = 48, pictures_top = 64;
constexpr double legend_height = 40;
constexpr double heading_height = 26; // of a half
constexpr double view_label = 20;     // above a view
constexpr double ground_room = 44;    // below a ground line, for area and shares
constexpr double scale_room = 22;     // below the view from above
constexpr double shares_room = 156;   // to the left and right of the view from above, for more than two feet
constexpr double words_gap = 12;      // below the pictures
constexpr double gutter = 26;
constexpr double numbers_width = 268, row_height = 14.5;

constexpr const char* quiet = R"(fill="#404040")";
constexpr const char* bold = R"(font-weight="bold")";

struct Area {
    double left = 0, top = 0, width = 0, height = 0;
    double middle() const { return left + width / 2; }
};

/// The text under the pictures, already broken into lines.
struct Words {
    std::vector<std::string> text, cues; // the cues under their heading
    double size = 10.5, line = 14;
    double height() const {
        const size_t rows = std::max(text.size(), cues.size());
        return rows == 0 ? 0 : static_cast<double>(rows) * line + words_gap;
    }
};

constexpr double words_width = page_width - 2 * margin;

constexpr double words_column = (words_width - gutter) / 2;

/// Breaks the words at the largest size with which they leave the pictures most of the page.
Words fit_words(const Drawing& drawing) {
    Words words;
    for (const double size : {10.5, 9.5, 8.5, 7.5, 6.5}) {
        words = {};
        words.size = size, words.line = size * 1.35;
        words.text = wrap(text_words(drawing), words_column, size);
        for (const std::string& cue : cue_words(drawing))
            for (const std::string& line : wrap(cue, words_column, size))
                words.cues.push_back(line);
        if (!words.cues.empty()) words.cues.insert(words.cues.begin(), cues_heading);
        if (words.height() < 150) return words;
    }
    const size_t most = static_cast<size_t>((170 - words_gap) / words.line);
    for (auto* lines : {&words.text, &words.cues})
        if (lines->size() > most) {
            lines->resize(most);
            lines->back() += " \xE2\x80\xA6";
        }
    return words;
}

struct Layout {
    Box boxes[view_count];
    double scale = 1;
    Area cells[view_count], numbers; // relative to the half
    double width = 0, height = 0;    // of a half, without its heading
};

/// Front and side view above, the view from above and the numbers below.
void arrange_two(const Drawing& drawing, Layout& l) {
    const double beside = many_feet(drawing) ? shares_room : 0;
    const Box &front = l.boxes[front_view], &side = l.boxes[side_view], &top = l.boxes[top_view];
    const double fixed_height = 2 * view_label + ground_room + scale_room;
    const double by_height = (l.height - fixed_height) / (front.height() + top.height());
    const double by_width = (l.width - 70) / (std::max(front.width(), top.width()) + side.width());
    const double by_numbers = (l.width - numbers_width - beside - 20) / top.width();
    l.scale = std::min({by_height, by_width, by_numbers});
    const double column = std::max({l.scale * front.width() + 30, l.scale * top.width() + beside + 10,
                                    std::min(200.0, l.width - numbers_width)});
    const double above = l.scale * front.height(), below = l.scale * top.height();
    // What room is left goes above, between and below the two rows.
    const double rest = std::max(0.0, l.height - fixed_height - above - below) / 3;
    const double first = view_label + rest, second = first + above + ground_room + view_label + rest;
    l.cells[front_view] = {0, first, column, above};
    l.cells[side_view] = {column, first, l.width - column, above};
    l.cells[top_view] = {0, second, column, below};
    const double left = std::max(column + 8, l.width - numbers_width - 40);
    l.numbers = {left, second - 8, l.width + gutter / 2 - left, below + scale_room};
}

/// All in one row, the numbers below it in two columns.
void arrange_row(const Drawing& drawing, Layout& l) {
    const double beside = many_feet(drawing) ? shares_room : 0;
    const Box &front = l.boxes[front_view], &side = l.boxes[side_view], &top = l.boxes[top_view];
    const double widths = front.width() + side.width() + top.width();
    const double below =
        row_height * (1 + std::ceil(0.5 * static_cast<double>(number_rows(drawing, drawing.before).size())));
    const double room = l.height - view_label - ground_room - 12 - below;
    l.scale = std::min({room / front.height(), (l.width - beside - 60) / widths,
                        (room + ground_room - scale_room) / top.height()});
    const double gap = (l.width - beside - l.scale * widths) / 3;
    const double height = l.scale * front.height(), depth = l.scale * top.height();
    const double tops = view_label + std::max(0.0, room - std::max(height, depth)) / 2;
    double left = 0;
    for (const ViewName name : {front_view, side_view, top_view}) {
        const double width = l.scale * l.boxes[name].width() + gap + (name == top_view ? beside : 0);
        l.cells[name] = {left, tops, width, name == top_view ? depth : height};
        left += width;
    }
    l.numbers = {0, l.height - below, l.width, below};
}

/// All in one row, the numbers below the view from above.
void arrange_one(const Drawing& drawing, Layout& l) {
    const double beside = many_feet(drawing) ? shares_room : 0;
    const Box &front = l.boxes[front_view], &side = l.boxes[side_view], &top = l.boxes[top_view];
    const double widths = front.width() + side.width() + top.width();
    const double numbers_height = 9 * row_height;
    l.scale = std::min({(l.height - view_label - ground_room) / front.height(),
                        (l.height - view_label - scale_room - 20 - numbers_height) / top.height(),
                        (l.width - beside - 160) / widths});
    // Equal room to the left and right of every view, but enough for the numbers.
    const double last = std::max(l.scale * top.width() + beside, numbers_width);
    const double gap = (l.width - l.scale * (front.width() + side.width()) - last) / 5;
    const double height = l.scale * front.height();
    const double slack = std::max(0.0, l.height - view_label - ground_room - height) / 2;
    const double tops = view_label + slack;
    const double first = l.scale * front.width() + 2 * gap, second = l.scale * side.width() + 2 * gap;
    l.cells[front_view] = {0, tops, first, height};
    l.cells[side_view] = {first, tops, second, height};
    const double left = first + second, depth = l.scale * top.height();
    l.cells[top_view] = {left, tops, last, depth};
    const double numbers = left + (last - numbers_width) / 2;
    l.numbers = {numbers, tops + depth + scale_room + 24, l.width + gutter / 2 - numbers, numbers_height};
}

Layout make_layout(const Drawing& drawing, double height) {
    Layout layout;
    for (int v = 0; v < view_count; ++v)
        layout.boxes[v] = common_extent(drawing, static_cast<ViewName>(v));
    // Front view and view from above stand in line.
    for (const auto& [from, to] : {std::pair{front_view, top_view}, std::pair{top_view, front_view}}) {
        layout.boxes[to].left = std::min(layout.boxes[to].left, layout.boxes[from].left);
        layout.boxes[to].right = std::max(layout.boxes[to].right, layout.boxes[from].right);
    }
    layout.height = height - heading_height;
    layout.width = drawing.has_after ? (page_width - 2 * margin - gutter) / 2 : page_width - 2 * margin;
    if (!drawing.has_after) {
        arrange_one(drawing, layout);
        return layout;
    }
    Layout row = layout;
    arrange_two(drawing, layout), arrange_row(drawing, row);
    return row.scale > layout.scale ? row : layout;
}

Placement placement_for(const Drawing& drawing, const Layout& layout, ViewName name, const Area& cell) {
    const Box& box = layout.boxes[name];
    const double middle = (box.left + box.right) / 2;
    return {drawing.views[name],
            {cell.middle() - layout.scale * middle, cell.top + layout.scale * box.top},
            layout.scale};
}

void draw_numbers(SvgWriter& svg, const Drawing& drawing, const Half& half, const Area& area) {
    double y = area.top + 10;
    double left = area.left, width = area.width;
    const bool two_columns = width > 1.6 * numbers_width;
    if (two_columns) width = numbers_width + 12;
    for (const auto& [name, value] : number_rows(drawing, half)) {
        auto lines = wrap(value, width - 124, 10);
        const double end = y + row_height * (static_cast<double>(lines.size()) - 1);
        if (two_columns && left == area.left && end > area.top + area.height) {
            left += width, y = area.top + 10;
            width = area.width - width;
            lines = wrap(value, width - 124, 10);
        }
        svg.text({left, y}, name, 10, Anchor::start, quiet);
        for (const std::string& line : lines) {
            svg.text({left + 124, y}, line, 10);
            y += row_height;
        }
    }
}

void draw_half(SvgWriter& svg, const Drawing& drawing, const Half& half, const Layout& layout, Point corner) {
    svg.open("g", R"(id=")" + half.id + R"(")");
    svg.text({corner.x, corner.y + 15}, half.heading, 13, Anchor::start, bold);
    svg.text({corner.x + 66, corner.y + 15}, half.caption, 11, Anchor::start, quiet);
    const double after_caption = half.caption.empty() ? 66 : 66 + text_width(half.caption, 11) + 14;
    const std::string words = headline(drawing, half);
    const double size =
        std::min(13.0, 13 * std::max(layout.width - after_caption, 60.0) / text_width(words, 13));
    svg.text({corner.x + after_caption, corner.y + 15}, words, size, Anchor::start,
             out_of_balance(half) ? R"(font-weight="bold" fill="#D55E00")" : bold);
    for (int v = 0; v < view_count; ++v) {
        const auto name = static_cast<ViewName>(v);
        Area cell = layout.cells[v];
        cell.left += corner.x, cell.top += corner.y + heading_height;
        const Placement placement = placement_for(drawing, layout, name, cell);
        svg.text({cell.middle(), cell.top - 8}, view_words(drawing, name), 10, Anchor::middle, quiet);
        const double half_width = layout.scale * layout.boxes[v].width() / 2;
        const Frame frame{cell.middle() - half_width, cell.middle() + half_width, cell.top,
                          cell.top + cell.height};
        if (name == top_view) {
            draw_top_view(svg, drawing, half, placement, frame, "top");
            const std::string length = scale_words(drawing.body);
            const double bar = scale_bar_width(drawing.body, layout.scale) + 4;
            const double left =
                std::min(frame.left, cell.left + cell.width - bar - text_width(length, drawing.words));
            draw_scale_bar(svg, drawing.body, {left, frame.bottom + 12}, layout.scale);
            svg.text({left + bar, frame.bottom + 17}, length, drawing.words);
        } else {
            const Frame ground{cell.left + 8, cell.left + cell.width - 8, cell.top, cell.top + cell.height};
            draw_upright_view(svg, drawing, half, placement, ground, name,
                              name == front_view ? "front" : "side");
        }
    }
    Area numbers = layout.numbers;
    numbers.left += corner.x, numbers.top += corner.y + heading_height;
    draw_numbers(svg, drawing, half, numbers);
    svg.close("g");
}

void draw_words(SvgWriter& svg, const Words& words, double top) {
    if (words.text.empty() && words.cues.empty()) return;
    svg.line({margin, top}, {page_width - margin, top}, R"(stroke="#808080" stroke-width="0.6")");
    double y = top + 6 + words.line;
    for (const std::string& line : words.text) {
        svg.text({margin, y}, line, words.size);
        y += words.line;
    }
    y = top + 6 + words.line;
    const double left = words.text.empty() ? margin : page_width - margin - words_column;
    for (const std::string& line : words.cues) {
        svg.text({left, y}, line, words.size, Anchor::start, &line == words.cues.data() ? bold : "");
        y += words.line;
    }
}

/// Small samples of the marks with their words, from left to right; smaller where there are many.
class Legend {
public:
    void add(const char* words, std::function<void(Point)> sample) {
        m_entries.push_back({words, std::move(sample)});
        m_width += 22 + text_width(words, 9) + 12;
    }
    void draw(SvgWriter& svg, double y) const {
        const double part = std::min(1.0, words_width / m_width);
        double x = margin;
        for (const auto& [words, sample] : m_entries) {
            sample(Point{x + 9, y - 3});
            svg.text({x + 22 * part, y}, words, 9 * part, Anchor::start, quiet);
            x += (22 + text_width(words, 9) + 12) * part;
        }
    }

private:
    std::vector<std::pair<const char*, std::function<void(Point)>>> m_entries;
    double m_width = 0;
};

void draw_legend(SvgWriter& svg, const Drawing& drawing, double y) {
    Legend legend;
    const auto block = [&svg](Point p, const char* style) {
        svg.rectangle({p.x - 8, p.y - 4}, 16, 8, style);
    };
    const auto stroke = [&svg](Point p, const char* style) {
        svg.line({p.x - 9, p.y}, {p.x + 9, p.y}, style);
    };
    legend.add("centre of mass", [&](Point p) { draw_centre_of_mass(svg, p, 5); });
    legend.add("plumb line",
               [&](Point p) { stroke(p, R"(stroke="#000000" stroke-width="1.2" stroke-dasharray="6 3")"); });
    legend.add("support area", [&](Point p) {
        block(p, R"(fill="#56B4E9" fill-opacity="0.4" stroke="#1F6F9C" stroke-width="1")");
    });
    legend.add("rest zone", [&](Point p) { block(p, R"(fill="none" stroke="#1F6F9C" stroke-width="0.6")"); });
    legend.add("home", [&](Point p) { draw_home(svg, p); });
    legend.add("out of balance", [&](Point p) { block(p, R"-(fill="url(#out-of-balance)")-"); });
    if (balance_point_apart(drawing)) legend.add("balance point", [&](Point p) { draw_dot(svg, p); });
    if (!pull_arrows(drawing, drawing.before).empty())
        legend.add("pull", [&](Point p) { draw_pull_sample(svg, p); });
    if (!bearing_patches(drawing).empty())
        legend.add("what else bears", [&](Point p) {
            block(p, R"(fill="#56B4E9" fill-opacity="0.4" stroke="#1F6F9C" stroke-width="1.2")");
        });
    if (!suggested_sole(drawing).empty())
        legend.add("foot suggested", [&](Point p) { draw_suggested_sample(svg, p); });
    if (drawing.picture->situation != nullptr && drawing.picture->situation->load_count > 0)
        legend.add("load", [&](Point p) { block(p, R"(fill="#E69F00" stroke="#7A5500" stroke-width="1")"); });
    if (drawing.has_after)
        legend.add("keyed pose",
                   [&](Point p) { block(p, R"(fill="none" stroke="#404040" stroke-width="0.9" rx="4")"); });
    if (drawing.lines)
        for (const BodyLine& line : body_lines)
            legend.add(line.words, [&](Point p) { draw_line_sample(svg, line, p); });
    legend.draw(svg, y);
}

void draw_footer(SvgWriter& svg, const Drawing& drawing) {
    const double y = page_height - 38;
    draw_legend(svg, drawing, y);
    svg.text(
        {margin, y + 16},
        "Feet: bearing = fixed and carries its share of the weight; held = fixed while its joints allow, "
        "carries nothing; free = "
        "rides along with the body.  For drawn and simulated figures: says nothing about what a person can "
        "safely lift.",
        8, Anchor::start, quiet);
}

} // namespace

std::string draw_a4(const Drawing& drawing) {
    const char* given = drawing.picture->title;
    const std::string title = given != nullptr && given[0] != '\0' ? given : "Balance of a pose";
    SvgWriter svg(page_width, page_height, title);
    define_marks(svg);
    svg.text({margin, title_y}, title, std::min(20.0, 20 * words_width / text_width(title, 20)),
             Anchor::start, bold);

    const Words words = fit_words(drawing);
    const double words_top = page_height - 38 - legend_height / 2 - words.height();
    const Layout layout = make_layout(drawing, words_top - pictures_top - 6);
    draw_half(svg, drawing, drawing.before, layout, {margin, pictures_top});
    if (drawing.has_after) {
        const double middle = page_width / 2;
        svg.line({middle, pictures_top + 6}, {middle, words_top - 10},
                 R"(stroke="#808080" stroke-width="0.6")");
        draw_half(svg, drawing, drawing.after, layout, {middle + gutter / 2, pictures_top});
    }
    draw_words(svg, words, words_top);
    draw_footer(svg, drawing);
    return svg.finish();
}

} // namespace aplomb::report
