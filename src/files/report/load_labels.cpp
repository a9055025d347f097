// SPDX-License-Identifier: MIT
// Where a load's mass is written: on the load, else at the nearest free place, with a leader line. A rectangle
// and a convex outline are apart where some direction parts them (S. Boyd, L. Vandenberghe, "Convex
// Optimization", 2004, section 2.5.1); their support functions tell.
#include <algorithm>
#include <cmath>

#include "report/marks.h"

namespace aplomb::report {
namespace {

constexpr double pad = 3; // around the words
constexpr int directions = 36;
constexpr const char* style = R"(font-weight="bold")";
constexpr const char* haloed =
    R"(font-weight="bold" stroke="#FFFFFF" stroke-width="2.5" stroke-linejoin="round" paint-order="stroke")";

struct Rectangle {
    Point middle;
    double half_width = 0, half_height = 0;

    bool holds(Point p) const {
        return std::fabs(p.x - middle.x) < half_width && std::fabs(p.y - middle.y) < half_height;
    }
    bool meets(const Rectangle& r) const {
        return std::fabs(r.middle.x - middle.x) < half_width + r.half_width &&
               std::fabs(r.middle.y - middle.y) < half_height + r.half_height;
    }
};

/// Whether the test holds in all directions for the hull's reach from the rectangle's middle and the
/// rectangle's own.
template<class Test>
bool in_all_directions(const Rectangle& r, const Hull& hull, const Placement& placement, Test test) {
    for (int i = 0; i < directions; ++i) {
        const SinCos turn = sin_cos(2 * pi * i / directions);
        const Point edge =
            placement.at(support(hull, placement.view.right * turn.cos - placement.view.up * turn.sin));
        const double reach = (edge.x - r.middle.x) * turn.cos + (edge.y - r.middle.y) * turn.sin;
        if (!test(reach, r.half_width * std::fabs(turn.cos) + r.half_height * std::fabs(turn.sin)))
            return false;
    }
    return true;
}
bool within(const Rectangle& r, const Hull& hull, const Placement& placement) {
    return in_all_directions(r, hull, placement, [](double reach, double own) { return reach >= own; });
}
bool overlaps(const Rectangle& r, const Hull& hull, const Placement& placement) {
    return in_all_directions(r, hull, placement, [](double reach, double own) { return reach > -own; });
}

/// What words must not cover.
struct Taken {
    const Placement& placement;
    std::vector<const Hull*> body, loads;
    std::vector<Point> skin, plumb_line;
    std::vector<Rectangle> words;

    bool meets(const Rectangle& r, bool on_load) const {
        const auto any = [&](const std::vector<const Hull*>& hulls) {
            return std::any_of(hulls.begin(), hulls.end(),
                               [&](const Hull* hull) { return overlaps(r, *hull, placement); });
        };
        const auto inside = [&](Point p) { return r.holds(p); };
        return any(body) || (!on_load && any(loads)) || std::any_of(skin.begin(), skin.end(), inside) ||
               std::any_of(plumb_line.begin(), plumb_line.end(), inside) ||
               std::any_of(words.begin(), words.end(), [&](const Rectangle& w) { return r.meets(w); });
    }
};

Taken taken_by(const Drawing& drawing, const Half& half, const Placement& placement, const Frame& frame) {
    Taken taken{placement, {}, {}, {}, {}, {}};
    for (const Form& form : half.body)
        for (const Hull& hull : form.hulls)
            taken.body.push_back(&hull);
    for (const Form& form : half.loads)
        for (const Hull& hull : form.hulls)
            taken.loads.push_back(&hull);
    for (const Vec3& p : half.skin)
        taken.skin.push_back(placement.at(p));
    const Vec3 centre = drawing.body.length_in(half.reading->centre);
    const Point from = placement.at(centre), foot = placement.at(drawing.on_ground(centre));
    for (double y = frame.top; y < std::min(foot.y, frame.bottom); y += 2) {
        const double part = foot.y - from.y > 1 ? (foot.y - y) / (foot.y - from.y) : 0;
        taken.plumb_line.push_back({foot.x + part * (from.x - foot.x), y});
    }
    return taken;
}

/// The load's extent on the page.
Rectangle page_extent(const Form& form, const Placement& placement) {
    const Box box = extent({form}, placement.view);
    return {{placement.origin.x + placement.scale * (box.left + box.right) / 2,
             placement.origin.y - placement.scale * (box.bottom + box.top) / 2},
            placement.scale * box.width() / 2,
            placement.scale * box.height() / 2};
}

/// Near the upper edge first, in the middle of it first.
bool find_place_on(const Form& form, const Rectangle& load, const Taken& taken, Rectangle& words) {
    const double across = load.half_width - words.half_width, down = load.half_height - words.half_height;
    if (across < 0 || down < 0) return false;
    for (const double y : {-0.9, -0.45, 0.0, 0.45, 0.9})
        for (const double x : {0.0, -0.45, 0.45, -0.9, 0.9}) {
            words.middle = {load.middle.x + x * across, load.middle.y + y * down};
            const bool fits = std::any_of(form.hulls.begin(), form.hulls.end(), [&](const Hull& hull) {
                return within(words, hull, taken.placement);
            });
            if (fits && !taken.meets(words, true)) return true;
        }
    return false;
}

/// Nearer places before farther ones.
bool find_place_beside(const Rectangle& load, const Taken& taken, const Frame& frame, Rectangle& words) {
    static constexpr Point ways[] = {{1, -0.8}, {-1, -0.8}, {1, 0},    {-1, 0},    {1, 0.8},
                                     {-1, 0.8}, {0, -1},    {0.7, -1}, {-0.7, -1}, {0, 1}};
    for (double gap = 2; gap < 120; gap += 8)
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
                      const Frame& frame) {
    Taken taken = taken_by(drawing, half, placement, frame);
    for (const Form& form : half.loads) {
        if (form.load < 0) continue;
        const std::string text = number(drawing.picture->situation->loads[form.load].mass, 1) + " kg";
        const Rectangle load = page_extent(form, placement);
        const double size = drawing.words;
        Rectangle words{load.middle, text_width(text, size) / 2 + pad, 0.52 * size + pad};
        const bool on_load = find_place_on(form, load, taken, words);
        if (!on_load &&
            (find_place_beside(load, taken, frame, words) || find_place_anywhere(load, taken, frame, words)))
            draw_leader(svg, form, load, words, placement);
        svg.text({words.middle.x, words.middle.y + 0.38 * size}, text, size, Anchor::middle,
                 on_load ? style : haloed);
        taken.words.push_back(words);
    }
}

} // namespace aplomb::report
