// SPDX-License-Identifier: MIT
// What words must not cover in a view.
#pragma once

#include "report/drawing.h"

namespace aplomb::report {

/// Whether a rectangle lies within a convex outline as it is drawn.
bool within(const Rectangle& r, const Hull& hull, const Placement& placement);

class Taken {
public:
    /// What is taken in the view of one pose. `svg` is asked for the words that stand there when a place is looked for.
    Taken(const SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement,
          const Frame& frame);

    /// Body, loads, plumb line or words; `on_load`: words may stand on a load.
    bool meets(const Rectangle& r, bool on_load) const;
    /// Plumb line or words.
    bool meets_marks(const Rectangle& r) const;

private:
    const SvgWriter& m_svg;
    const Placement& m_placement;
    std::vector<const Hull*> m_body, m_loads;
    std::vector<Point> m_skin, m_plumb_line;
};

} // namespace aplomb::report
