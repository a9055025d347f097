// SPDX-License-Identifier: MIT
// One view of one pose with all its marks, wherever on a page it stands.
#pragma once

#include <string>

#include "report/marks.h"

namespace aplomb::report {

/// What all poses of a drawing cover in a view with their marks, metres.
Box common_extent(const Drawing& drawing, ViewName name);
/// "front", "side, from the left", "top, facing down"
const char* view_words(const Drawing& drawing, ViewName name);

/// Front or side. `id` is unique in the document; the frame's sides are the ends of the ground line.
void draw_upright_view(SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement,
                       const Frame& frame, ViewName name, const std::string& id);
/// `shares`: with those of more than two feet in words beside it.
void draw_top_view(SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement,
                   const Frame& frame, const std::string& id, bool shares = true);
/// Through the file's own camera.
void draw_camera_view(SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement,
                      const Frame& frame, const std::string& id);

} // namespace aplomb::report
