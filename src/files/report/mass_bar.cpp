// SPDX-License-Identifier: MIT
#include "report/mass_bar.h"

#include <algorithm>
#include <cmath>

#include "report/words.h"

namespace aplomb::report {
namespace {

constexpr double left = 70, beyond_axis = 100; // room for words on both sides of the axis
constexpr double first_row = 44, row_height = 46, bar_height = 15;
constexpr double most_times = 6; // bounds farther out than so many times the mass in question end open
constexpr const char* stands_style = R"(fill="#FFFFFF" stroke="#000000" stroke-width="1")";
constexpr const char* rests_style = R"(fill="#56B4E9" fill-opacity="0.55" stroke="#1F6F9C" stroke-width="1")";
constexpr const char* asked_style = R"(stroke="#E69F00" stroke-width="4")";
constexpr const char* asked_edge = R"(stroke="#7A5500" stroke-width="1")";

struct Axis {
    double width = 0, right = 0;
    double most = 1, step = 1; // kg

    double at(double mass) const { return left + (right - left) * std::clamp(mass / most, 0.0, 1.0); }
};

/// Steps of 1, 2 or 5 times a power of ten, five to ten of them.
Axis make_axis(const Drawing& drawing, int load, double width) {
    const double asked = drawing.picture->situation->loads[load].mass;
    double far = std::max(asked, 0.001);
    const auto add = [&](double mass, double limit) {
        if (std::isfinite(mass) && mass <= limit) far = std::max(far, mass);
    };
    for (const Half* half : {&drawing.before, &drawing.after}) {
        if (half->reading == nullptr) continue;
        const aplomb_load_reading& r = half->reading->loads[load];
        if (r.tells != 0) add(reads_as(r), 1e9);
        const double limit = most_times * std::max(far, 1.0);
        for (const double bound : {r.stands_min, r.stands_max, r.rests_min, r.rests_max})
            add(bound, limit);
    }
    Axis axis{width, width - beyond_axis};
    axis.step = std::pow(10, std::floor(std::log10(far / 4)));
    for (const double times : {5.0, 2.0})
        if (axis.step * times <= far / 4) {
            axis.step *= times;
            break;
        }
    axis.most = axis.step * std::ceil(1.04 * far / axis.step);
    return axis;
}

/// A range of masses as a bar; an end beyond the axis stays open.
void draw_range(SvgWriter& svg, const Axis& axis, double least, double most, double y, double height,
                const char* style, bool& open) {
    if (!(least <= most) || least > axis.most) return;
    const double from = axis.at(std::max(least, 0.0));
    const bool beyond = most > axis.most;
    const double to = beyond ? axis.right + 14 : axis.at(most);
    open = open || beyond;
    if (!beyond) return svg.rectangle({from, y}, std::max(to - from, 1.5), height, style);
    svg.path("M" + number(to) + ' ' + number(y) + "H" + number(from) + "V" + number(y + height) + "H" +
                 number(to),
             style);
}

/// Words on white, so that no line runs on behind them.
void draw_words(SvgWriter& svg, Point at, const std::string& words, Anchor anchor) {
    const double wide = text_width(words, 12);
    svg.rectangle({at.x - (anchor == Anchor::middle ? wide / 2 : 2), at.y - 12}, wide, 16,
                  R"(fill="#FFFFFF")");
    svg.text(at, words, 12, anchor);
}

void draw_row(SvgWriter& svg, const Axis& axis, const Half& half, int load, const char* name, double y) {
    const aplomb_load_reading& r = half.reading->loads[load];
    svg.text({left - 10, y + 12}, name, 12, Anchor::end, R"(font-weight="bold")");
    bool open = false;
    draw_range(svg, axis, r.stands_min, r.stands_max, y, bar_height, stands_style, open);
    draw_range(svg, axis, r.rests_min, r.rests_max, y + 4, bar_height - 8, rests_style, open);
    if (open)
        svg.text({axis.right + 19, y + 12},
                 std::isinf(r.stands_max) ? "and any more" : "to " + fixed(r.stands_max, 0) + " kg", 12);
    const bool stands = r.stands_min <= r.stands_max;
    if (!stands) draw_words(svg, {left + 6, y + 12}, "stands with no mass at all", Anchor::start);
    const double mass = reads_as(r);
    if (r.tells == 0 || !std::isfinite(mass)) {
        if (stands) draw_words(svg, {left + 4, y + bar_height + 15}, reads_as_words(r), Anchor::start);
        return;
    }
    const double x = axis.at(mass), middle = y + bar_height / 2;
    svg.polygon({{x, middle - 9}, {x + 6, middle}, {x, middle + 9}, {x - 6, middle}},
                R"(fill="#000000" stroke="#FFFFFF" stroke-width="1")");
    const std::string words = "reads as " + reads_as_words(r);
    const double half_width = text_width(words, 12) / 2;
    draw_words(svg, {std::clamp(x, left + half_width, axis.width - half_width), y + bar_height + 15}, words,
               Anchor::middle);
}

void draw_axis(SvgWriter& svg, const Axis& axis, double y) {
    svg.line({left, y}, {axis.right, y}, R"(stroke="#000000" stroke-width="1")");
    double end = axis.right;
    for (int i = 0; i * axis.step <= axis.most * 1.0001; ++i) {
        const double x = axis.at(i * axis.step);
        const std::string words = number(i * axis.step, 3);
        svg.line({x, y}, {x, y + 5}, R"(stroke="#000000" stroke-width="1")");
        svg.text({x, y + 18}, words, 12, Anchor::middle);
        end = x + text_width(words, 12) / 2;
    }
    svg.text({std::max(end + 4, axis.right + 19), y + 18}, "kg", 12);
}

} // namespace

std::string mass_bar(const Drawing& drawing, int load, const std::string& id, double width) {
    const aplomb_load& asked = drawing.picture->situation->loads[load];
    const Axis axis = make_axis(drawing, load, width);
    const double base = first_row + (drawing.has_after ? 2 : 1) * row_height;
    const std::string mass = fixed(asked.mass, 1) + " kg";
    std::string title =
        "Load of " + mass + ": before it reads as " + reads_as_words(drawing.before.reading->loads[load]);
    if (drawing.has_after) title += ", after as " + reads_as_words(drawing.after.reading->loads[load]);
    SvgWriter svg(width, base + 24, title, id);
    const double x = axis.at(asked.mass);
    for (const char* style : {asked_style, asked_edge})
        svg.line({x, 22}, {x, base}, style);
    draw_row(svg, axis, drawing.before, load, drawing.has_after ? "before" : "pose", first_row - 8);
    if (drawing.has_after) draw_row(svg, axis, drawing.after, load, "after", first_row + row_height - 8);
    draw_axis(svg, axis, base);
    const std::string words = "asked for " + mass;
    const double half_width = text_width(words, 12) / 2;
    svg.text({std::clamp(x, half_width, width - half_width), 16}, words, 12, Anchor::middle,
             R"(font-weight="bold")");
    return svg.finish();
}

} // namespace aplomb::report
