// SPDX-License-Identifier: MIT
#include "report/marks.h"

#include <algorithm>
#include <cmath>

#include "report/words.h"

namespace aplomb::report {
namespace {

constexpr double bar_height = 6;
constexpr const char* area_fill = R"(fill="#56B4E9" fill-opacity="0.4" stroke="#1F6F9C" stroke-width="1")";
constexpr const char* zone_line = R"(fill="none" stroke="#1F6F9C" stroke-width="0.6")";
constexpr const char* hatch_fill = R"-(fill="url(#out-of-balance)")-";
constexpr const char* halo =
    R"(stroke="#FFFFFF" stroke-width="2.5" stroke-linejoin="round" paint-order="stroke")";

std::vector<Vec3> corners(const Drawing& drawing, const double (*points)[3], int count) {
    std::vector<Vec3> out;
    for (int i = 0; i < std::clamp(count, 0, APLOMB_MAX_EDGES); ++i)
        out.push_back(drawing.body.length_in(points[i]));
    return out;
}
std::vector<Vec3> area_of(const Drawing& drawing, const Half& half) {
    return corners(drawing, half.reading->area, half.reading->edge_count);
}
std::vector<Vec3> zone_of(const Drawing& drawing, const Half& half) {
    return corners(drawing, half.reading->zone, half.reading->zone_count);
}

std::vector<Point> project(const std::vector<Vec3>& points, const Placement& placement) {
    std::vector<Point> out;
    for (const Vec3& p : points)
        out.push_back(placement.at(p));
    return out;
}

/// Leftmost and rightmost of the points on the page; false without any.
bool span(const std::vector<Vec3>& points, const Placement& placement, double& low, double& high) {
    low = 1e30, high = -1e30;
    for (const Vec3& p : points) {
        low = std::min(low, placement.at(p).x);
        high = std::max(high, placement.at(p).x);
    }
    return low <= high;
}

/// Where the balance point would have to be at the least for the margin that was asked for.
Vec3 nearest_rest(const Drawing& drawing, const Half& half, const Vec3& point) {
    const aplomb_reading& r = *half.reading;
    const Vec3 outward = drawing.body.direction_in(r.tip_direction);
    return point + outward * ((r.margin - r.margin_asked) * drawing.body.metres_per_unit);
}

} // namespace

void define_marks(SvgWriter& svg) {
    svg.open("defs", "");
    svg.open(
        "pattern",
        R"-(id="out-of-balance" width="5" height="5" patternUnits="userSpaceOnUse" patternTransform="rotate(45)")-");
    svg.line({0, 0}, {0, 5}, R"(stroke="#D55E00" stroke-width="2")");
    svg.close("pattern");
    svg.open(
        "marker",
        R"(id="arrow-head" viewBox="0 0 10 10" refX="10" refY="5" markerWidth="8" markerHeight="8" markerUnits="userSpaceOnUse" orient="auto")");
    svg.path("M0 1L10 5L0 9Z", R"(fill="#D55E00")");
    svg.close("marker");
    svg.close("defs");
}

double ground_y(const Drawing& drawing, const Placement& placement) {
    return placement.at({0, drawing.ground, 0}).y;
}

void draw_ground(SvgWriter& svg, const Drawing& drawing, const Placement& placement, const Frame& frame) {
    const double y = ground_y(drawing, placement);
    svg.line({frame.left, y}, {frame.right, y}, R"(stroke="#000000" stroke-width="1")");
}

void draw_area_bar(SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement) {
    const double y = ground_y(drawing, placement);
    double low, high;
    if (span(area_of(drawing, half), placement, low, high)) {
        svg.rectangle({low, y}, high - low, bar_height, area_fill);
        if (out_of_balance(half)) svg.rectangle({low, y}, high - low, bar_height, hatch_fill);
    }
    if (span(zone_of(drawing, half), placement, low, high))
        svg.rectangle({low, y + 1.5}, high - low, bar_height - 3, zone_line);
    if (half.reading->pressing == 0) return;
    const Point home = placement.at(drawing.body.length_in(half.reading->home));
    draw_home(svg, {home.x, y + bar_height + 5});
}

void draw_area(SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement) {
    const auto area = project(area_of(drawing, half), placement),
               zone = project(zone_of(drawing, half), placement);
    if (!area.empty()) {
        svg.polygon(area, area_fill);
        if (out_of_balance(half)) svg.polygon(area, hatch_fill);
    }
    if (!zone.empty()) svg.polygon(zone, zone_line);
}

void draw_centre_of_mass(SvgWriter& svg, Point at, double radius) {
    svg.circle(at, radius, R"(fill="#FFFFFF")");
    const std::string x = number(at.x), y = number(at.y), r = number(radius);
    const auto quarter = [&](const char* horizontal, const char* vertical) {
        return "M" + x + ' ' + y + "l" + horizontal + r + " 0A" + r + ' ' + r + " 0 0 0 " + x + ' ' +
               number(at.y + (vertical[0] == '-' ? -radius : radius)) + 'Z';
    };
    svg.path(quarter("", "-") + quarter("-", ""), R"(fill="#000000")");
    svg.circle(at, radius, R"(fill="none" stroke="#000000" stroke-width="1.1")");
}

void draw_home(SvgWriter& svg, Point at) {
    svg.polygon({{at.x, at.y - 4}, {at.x + 4, at.y + 3}, {at.x - 4, at.y + 3}},
                R"(fill="#FFFFFF" stroke="#000000" stroke-width="0.9")");
}

void draw_plumb_line(SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement,
                     const Frame& frame) {
    const Vec3 centre = drawing.body.length_in(half.reading->centre);
    const Point from = placement.at(centre), foot = placement.at(drawing.on_ground(centre));
    // Up to the top of the frame, along the same line.
    const double rise = foot.y - from.y;
    const double part = rise > 1 ? (foot.y - frame.top) / rise : 1;
    const Point top{foot.x + (from.x - foot.x) * part, foot.y + (from.y - foot.y) * part};
    svg.line(top, {foot.x, foot.y + bar_height},
             R"(stroke="#000000" stroke-width="1.2" stroke-dasharray="6 3.5")");
    // Smaller on small figures, so that it hides no pose.
    draw_centre_of_mass(svg, from,
                        std::clamp(0.025 * drawing.body.stature * placement.scale_at(centre), 3.2, 6.5));
}

namespace {

constexpr double beside_frame = 10; // page units that marks may reach into the room around a frame
constexpr double shortest_arrow = 30;

bool reaches_out(const Frame& frame, Point p) {
    return p.x < frame.left - beside_frame || p.x > frame.right + beside_frame ||
           p.y < frame.top - beside_frame || p.y > frame.bottom + beside_frame;
}

/// How much of the way back from an arrow's point to its tail lies in the frame; all of it where the point is outside.
double part_in_frame(const Frame& frame, Point goal, Point tail) {
    if (reaches_out(frame, goal)) return 1;
    double part = 1;
    const auto cut = [&](double from, double to, double low, double high) {
        if (to < low - beside_frame) part = std::min(part, (from - low + beside_frame) / (from - to));
        if (to > high + beside_frame) part = std::min(part, (high + beside_frame - from) / (to - from));
    };
    cut(goal.x, tail.x, frame.left, frame.right);
    cut(goal.y, tail.y, frame.top, frame.bottom);
    return part;
}

void draw_arrow_line(SvgWriter& svg, Point tail, Point goal) {
    svg.line(tail, goal, R"(stroke="#FFFFFF" stroke-width="4")");
    svg.line(tail, goal, R"-(stroke="#D55E00" stroke-width="1.8" marker-end="url(#arrow-head)")-");
}

/// How far the balance point has to go for the margin that was asked for.
std::string to_go_words(const Drawing& drawing, const aplomb_reading& r) {
    return drawing.length((r.margin_asked - r.margin) * drawing.body.metres_per_unit) + " to go";
}

/// Leads from abreast of the balance point to abreast of where it would have to be; a short arrow starts
/// farther back, one from outside the frame at its edge.
void draw_arrow(SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement,
                const Frame& frame) {
    const aplomb_reading& r = *half.reading;
    const Vec3 point = drawing.body.length_in(r.balance_point);
    Point at = placement.at(point), goal = placement.at(nearest_rest(drawing, half, point));
    const double length = std::max(span_of(goal.x - at.x, goal.y - at.y), 1e-3);
    const Point beside{-(goal.y - at.y) / length * 10, (goal.x - at.x) / length * 10};
    at = {at.x + beside.x, at.y + beside.y}, goal = {goal.x + beside.x, goal.y + beside.y};
    const double reach = std::max(length * part_in_frame(frame, goal, at), shortest_arrow) / length;
    const Point tail{goal.x + (at.x - goal.x) * reach, goal.y + (at.y - goal.y) * reach};
    draw_arrow_line(svg, tail, goal);
    draw_distance(svg, to_go_words(drawing, r), drawing, half, placement, tail, goal, frame);
}

} // namespace

void draw_ground_arrow(SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement,
                       const Frame& frame) {
    const aplomb_reading& r = *half.reading;
    if (r.pressing == 0 || !out_of_balance(half)) return;
    const Vec3 point = drawing.body.length_in(r.balance_point), rest = nearest_rest(drawing, half, point);
    const double y = ground_y(drawing, placement) + bar_height + 16, goal = placement.at(rest).x;
    const Point at{placement.at(point).x, y};
    const double way = goal - at.x;
    if (std::fabs(way) < 0.5 * placement.scale * norm(rest - point)) return; // towards the viewer or away
    const double seen = std::fabs(way) * part_in_frame(frame, {goal, y}, at);
    const double sign = way < 0 ? -1 : 1, tail = goal - sign * std::max(seen, 24.0);
    draw_arrow_line(svg, {tail, y}, {goal, y});
    const std::string words = to_go_words(drawing, r);
    const double half_width = text_width(words, drawing.words) / 2;
    // The words stand behind the arrow's tail, or before its point where there is no room behind it, or nowhere.
    const double left = frame.left + half_width, right = std::max(frame.right - half_width, left);
    const double behind = tail - sign * (half_width + 5), before = goal + sign * (half_width + 5);
    const bool fits_behind = behind >= left && behind <= right,
               fits_before = before >= left && before <= right;
    if (!fits_behind && !fits_before) return;
    const double middle = fits_behind ? behind : before;
    svg.text({middle, y + 4}, words, drawing.words, Anchor::middle,
             std::string(R"(font-weight="bold" fill="#D55E00" )") + halo);
}

void draw_balance_point(SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement,
                        const Frame& frame) {
    const aplomb_reading& r = *half.reading;
    const Point centre = placement.at(drawing.body.length_in(r.centre));
    if (r.pressing == 0) {
        draw_centre_of_mass(svg, centre, 5);
        return;
    }
    draw_home(svg, placement.at(drawing.body.length_in(r.home)));
    const Vec3 point = drawing.body.length_in(r.balance_point);
    if (out_of_balance(half)) draw_arrow(svg, drawing, half, placement, frame);
    draw_centre_of_mass(svg, centre, 5);
    const Point at = placement.at(point);
    if (span_of(at.x - centre.x, at.y - centre.y) > 1 && !reaches_out(frame, at)) draw_dot(svg, at);
}

bool balance_point_apart(const Drawing& drawing, const Half& half) {
    const aplomb_reading& r = *half.reading;
    if (r.pressing == 0) return false;
    const Vec3 d =
        drawing.body.length_in(r.balance_point) - drawing.on_ground(drawing.body.length_in(r.centre));
    return span_of(d.x, d.z) > 0.003 * drawing.body.stature;
}

bool balance_point_apart(const Drawing& drawing) {
    return balance_point_apart(drawing, drawing.before) ||
           (drawing.has_after && balance_point_apart(drawing, drawing.after));
}

void draw_dot(SvgWriter& svg, Point at) {
    svg.circle(at, 3, R"(fill="#000000" stroke="#FFFFFF" stroke-width="0.8")");
}

void draw_balance_dot(SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement) {
    if (!balance_point_apart(drawing, half)) return;
    const double x = placement.at(drawing.body.length_in(half.reading->balance_point)).x;
    draw_dot(svg, {x, ground_y(drawing, placement)});
}

} // namespace aplomb::report
