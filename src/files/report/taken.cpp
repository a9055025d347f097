// SPDX-License-Identifier: MIT
// A rectangle and a convex outline are apart where some direction parts them (S. Boyd, L. Vandenberghe, "Convex
// Optimization", 2004, section 2.5.1); their support functions tell.
#include "report/taken.h"

#include <algorithm>
#include <cmath>

namespace aplomb::report {
namespace {

constexpr int directions = 36;

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

bool overlaps(const Rectangle& r, const Hull& hull, const Placement& placement) {
    return in_all_directions(r, hull, placement, [](double reach, double own) { return reach > -own; });
}

bool hold_any(const Rectangle& r, const std::vector<Point>& points) {
    return std::any_of(points.begin(), points.end(), [&](Point p) { return r.holds(p); });
}

} // namespace

bool within(const Rectangle& r, const Hull& hull, const Placement& placement) {
    return in_all_directions(r, hull, placement, [](double reach, double own) { return reach >= own; });
}

Taken::Taken(const SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement,
             const Frame& frame)
    : m_svg(svg), m_placement(placement) {
    for (const Form& form : half.body)
        for (const Hull& hull : form.hulls)
            m_body.push_back(&hull);
    for (const Form& form : half.loads)
        for (const Hull& hull : form.hulls)
            m_loads.push_back(&hull);
    for (const Vec3& p : half.skin)
        m_skin.push_back(placement.at(p));
    const Vec3 centre = drawing.body.length_in(half.reading->centre);
    const Point from = placement.at(centre), foot = placement.at(drawing.on_ground(centre));
    for (double y = frame.top; y < std::min(foot.y, frame.bottom); y += 2) {
        const double part = foot.y - from.y > 1 ? (foot.y - y) / (foot.y - from.y) : 0;
        m_plumb_line.push_back({foot.x + part * (from.x - foot.x), y});
    }
}

bool Taken::meets(const Rectangle& r, bool on_load) const {
    const auto any = [&](const std::vector<const Hull*>& hulls) {
        return std::any_of(hulls.begin(), hulls.end(),
                           [&](const Hull* hull) { return overlaps(r, *hull, m_placement); });
    };
    return meets_marks(r) || any(m_body) || (!on_load && any(m_loads)) || hold_any(r, m_skin);
}

bool Taken::meets_marks(const Rectangle& r) const {
    return m_svg.has_words(r) || hold_any(r, m_plumb_line);
}

} // namespace aplomb::report
