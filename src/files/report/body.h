// SPDX-License-Identifier: MIT
// The body with its loads in one view: the character's own silhouette where its skin is given, else the lay
// figure.
#pragma once

#include "report/drawing.h"

namespace aplomb::report {

/// What the body covers in a parallel view, metres.
Box body_extent(const Half& half, const View& view);

/// `frame`: nothing is drawn beyond it.
void draw_solids(SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement,
                 const Frame& frame);
/// The keyed pose as a thin outline. `id` names it in the document.
void draw_keyed_outline(SvgWriter& svg, const Drawing& drawing, const Placement& placement,
                        const Frame& frame, const std::string& id);
/// The feet through a faint body, in the view from above: drawn feet, or the soles of a silhouette.
void draw_feet_of(SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement);

} // namespace aplomb::report
