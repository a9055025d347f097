// SPDX-License-Identifier: MIT
// Where a view from above says how far the balance point has to go: by its arrow, but not over the figure.
#include <algorithm>
#include <cmath>
#include <limits>

#include "report/marks.h"
#include "report/taken.h"

namespace aplomb::report {
namespace {

constexpr double pad = 2; // around the words
constexpr const char* style =
    R"(font-weight="bold" fill="#D55E00" stroke="#FFFFFF" stroke-width="2.5" stroke-linejoin="round" paint-order="stroke")";

/// The place above or below a level arrow, or beyond the tail of an upright one.
Point beside_arrow(const Rectangle& words, Point tail, Point goal, const Frame& frame) {
    const double x = goal.x - tail.x, y = goal.y - tail.y;
    const bool level = std::fabs(x) > std::fabs(y), below = level ? x > 0 : y < 0;
    const double other = level ? goal.y : tail.y;
    const double end = below ? std::max(tail.y, other) : std::min(tail.y, other);
    // Words wider than the frame reach out of it evenly.
    const double middle = (frame.left + frame.right) / 2;
    const double left = std::min(frame.left + words.half_width, middle),
                 right = std::max(frame.right - words.half_width, middle);
    const double away = words.half_height + 3;
    return {std::clamp(tail.x + (level ? x / 4 : 0), left, right), end + (below ? away : -away)};
}

/// What these words must not cover.
class Covered {
public:
    Covered(const SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement,
            const Frame& frame, Point tail, Point goal)
        : taken_(svg, drawing, half, placement, frame) {
        const double steps = std::max(2.0, span_of(goal.x - tail.x, goal.y - tail.y) / 3);
        for (double k = 0; k <= steps; ++k)
            marks_.push_back(
                {tail.x + (goal.x - tail.x) * k / steps, tail.y + (goal.y - tail.y) * k / steps});
        const aplomb_reading& r = *half.reading;
        marks_.push_back(placement.at(drawing.body.length_in(r.balance_point)));
        marks_.push_back(placement.at(drawing.body.length_in(r.centre)));
        marks_.push_back(placement.at(drawing.body.length_in(r.home)));
        for (int i = 0; i < std::clamp(r.edge_count, 0, APLOMB_MAX_EDGES); ++i)
            marks_.push_back(placement.at(drawing.body.length_in(r.area[i])));
    }
    bool by(const Rectangle& words) const {
        return taken_.meets(words, false) ||
               std::any_of(marks_.begin(), marks_.end(), [&](Point p) { return words.holds(p); });
    }

private:
    Taken taken_;
    std::vector<Point> marks_;
};

/// The free place of the frame that is nearest.
bool find_free_place(const Covered& covered, const Frame& frame, Rectangle& words) {
    constexpr double step = 4;
    const Point wanted = words.middle;
    double nearest = std::numeric_limits<double>::infinity();
    for (double y = frame.top + words.half_height; y + words.half_height <= frame.bottom; y += step)
        for (double x = frame.left + words.half_width; x + words.half_width <= frame.right; x += step) {
            const double away = span_of(x - wanted.x, y - wanted.y);
            if (away < nearest && !covered.by({{x, y}, words.half_width, words.half_height}))
                nearest = away, words.middle = {x, y};
        }
    return nearest < std::numeric_limits<double>::infinity();
}

} // namespace

void draw_distance(SvgWriter& svg, const std::string& text, const Drawing& drawing, const Half& half,
                   const Placement& placement, Point tail, Point goal, const Frame& frame) {
    const Covered covered(svg, drawing, half, placement, frame, tail, goal);
    Rectangle words = around(text, drawing.words, pad);
    words.middle = beside_arrow(words, tail, goal, frame);
    if (covered.by(words) && !find_free_place(covered, frame, words))
        svg.rectangle({words.middle.x - words.half_width, words.middle.y - words.half_height},
                      2 * words.half_width, 2 * words.half_height, R"(class="white" fill="#FFFFFF")");
    svg.text_in(words, text, drawing.words, style);
}

} // namespace aplomb::report
