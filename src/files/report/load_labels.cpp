// SPDX-License-Identifier: MIT
// Where a load's mass is written: in the view that shows it beside the body, on the load, else at the nearest free place,
// with a leader line.
#include <algorithm>
#include <cmath>

#include "report/marks.h"
#include "report/taken.h"

namespace aplomb::report {
namespace {

constexpr double pad = 3;              // around the words
constexpr double near = 12, far = 120; // gaps from the load; near ones need no leader line
constexpr const char* style = R"(font-weight="bold")";
constexpr const char* haloed =
    R"(font-weight="bold" stroke="#FFFFFF" stroke-width="2.5" stroke-linejoin="round" paint-order="stroke")";

/// The load's extent on the page.
Rectangle page_extent(const Form& form, const Placement& placement) {
    const Box box = extent({form}, placement.view);
    return {{placement.origin.x + placement.scale * (box.left + box.right) / 2,
             placement.origin.y - placement.scale * (box.bottom + box.top) / 2},
            placement.scale * box.width() / 2,
            placement.scale * box.height() / 2};
}

/// The view in which the load stands farther from the body's middle; the same for both poses.
ViewName view_for_mass(const Drawing& drawing, int load) {
    for (const Form& form : drawing.before.loads) {
        if (form.load != load) continue;
        const auto off_middle = [&](const View& view) {
            const Box box = extent({form}, view);
            return std::fabs((box.left + box.right) / 2 - dot(drawing.before.middle, view.right));
        };
        return off_middle(drawing.views[front_view]) > off_middle(drawing.views[side_view]) ? front_view
                                                                                            : side_view;
    }
    return side_view;
}

/// Tries places near the upper edge first, and of those the middle one; `over_body`: limbs in front may be written over,
/// and what holds the load is above it.
bool find_place_on(const Form& form, const Rectangle& load, const Taken& taken, const Placement& placement,
                   bool over_body, Rectangle& words) {
    const double across = load.half_width - words.half_width, down = load.half_height - words.half_height;
    if (across < 0 || down < 0) return false;
    const double first = over_body ? 1 : -1;
    for (const double y : {0.9 * first, 0.45 * first, 0.0, -0.45 * first, -0.9 * first})
        for (const double x : {0.0, -0.45, 0.45, -0.9, 0.9}) {
            words.middle = {load.middle.x + x * across, load.middle.y + y * down};
            const bool fits = std::any_of(form.hulls.begin(), form.hulls.end(),
                                          [&](const Hull& hull) { return within(words, hull, placement); });
            if (fits && !(over_body ? taken.meets_marks(words) : taken.meets(words, true))) return true;
        }
    return false;
}

/// Tries nearer places before farther ones.
bool find_place_beside(const Rectangle& load, const Taken& taken, const Frame& frame, double farthest,
                       Rectangle& words) {
    static constexpr Point ways[] = {{1, -0.8}, {-1, -0.8}, {1, 0},    {-1, 0},    {1, 0.8},
                                     {-1, 0.8}, {0, -1},    {0.7, -1}, {-0.7, -1}, {0, 1}};
    for (double gap = 2; gap < farthest; gap += 8)
        for (const auto& [x, y] : ways) {
            const bool beside = std::fabs(x) == 1;
            words.middle = {load.middle.x + x * (load.half_width + (beside ? gap + words.half_width : 0)),
                            load.middle.y + y * (load.half_height + (beside ? 0 : gap + words.half_height))};
            const bool framed = words.middle.x - words.half_width >= frame.left &&
                                words.middle.x + words.half_width <= frame.right &&
                                words.middle.y - words.half_height >= frame.top &&
                                words.middle.y + words.half_height <= frame.bottom;
            if (framed && !taken.meets(words, false)) return true;
        }
    return false;
}

/// The free place of the frame that is nearest to the load.
bool find_place_anywhere(const Rectangle& load, const Taken& taken, const Frame& frame, Rectangle& words) {
    constexpr double step = 8;
    std::vector<Point> places;
    for (double y = frame.top + words.half_height; y + words.half_height <= frame.bottom; y += step)
        for (double x = frame.left + words.half_width; x + words.half_width <= frame.right; x += step)
            places.push_back({x, y});
    const auto distance = [&](Point p) { return span_of(p.x - load.middle.x, p.y - load.middle.y); };
    std::stable_sort(places.begin(), places.end(),
                     [&](Point a, Point b) { return distance(a) < distance(b); });
    for (const Point place : places) {
        words.middle = place;
        if (!taken.meets(words, false)) return true;
    }
    words.middle = load.middle;
    return false;
}

/// From the words' nearest end to the outline of the load.
void draw_leader(SvgWriter& svg, const Form& form, const Rectangle& load, const Rectangle& words,
                 const Placement& placement) {
    const auto edge = [](const Rectangle& r, Point to) {
        return Point{std::clamp(to.x, r.middle.x - r.half_width, r.middle.x + r.half_width),
                     std::clamp(to.y, r.middle.y - r.half_height, r.middle.y + r.half_height)};
    };
    const Point from = edge(words, load.middle), to = edge(load, from);
    if (span_of(to.x - from.x, to.y - from.y) < 6) return;
    const Vec3 way =
        placement.view.right * (from.x - load.middle.x) - placement.view.up * (from.y - load.middle.y);
    const Point end = placement.at(support(form.hulls[0], way));
    svg.line(from, end, R"(stroke="#FFFFFF" stroke-width="2.4")");
    svg.line(from, end, R"(class="leader" stroke="#000000" stroke-width="0.8")");
}

} // namespace

void draw_load_masses(SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement,
                      const Frame& frame, ViewName name) {
    const Taken taken(svg, drawing, half, placement, frame);
    for (const Form& form : half.loads) {
        if (form.load < 0 || view_for_mass(drawing, form.load) != name) continue;
        const std::string text = number(drawing.picture->situation->loads[form.load].mass, 1) + " kg";
        const Rectangle load = page_extent(form, placement);
        const double size = drawing.words;
        Rectangle words = around(text, size, pad);
        const bool on_load = find_place_on(form, load, taken, placement, false, words);
        if (!on_load && !find_place_beside(load, taken, frame, near, words) &&
            !find_place_on(form, load, taken, placement, true, words) &&
            (find_place_beside(load, taken, frame, far, words) ||
             find_place_anywhere(load, taken, frame, words)))
            draw_leader(svg, form, load, words, placement);
        svg.text_in(words, text, size, on_load ? style : haloed);
    }
}

} // namespace aplomb::report
