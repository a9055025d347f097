// SPDX-License-Identifier: MIT
// The views of a page, sized for it. All sizes are CSS pixels, 1/96 inch.
#pragma once

#include <string>

#include "report/drawing.h"

namespace aplomb::report {

inline constexpr double whole_width = 1232,
                        half_width = 595; // of one pose; of BEFORE or AFTER beside each other
inline constexpr double view_gap = 10;    // between views
inline constexpr double least_body = 424; // height of the body
inline constexpr double page_words = 13;  // size of the words in a view

/// The views' sizes, the same for both poses so that they stand in line.
struct Sizes {
    Box boxes[view_count];
    double scale = 1;
    double camera_width = 0, camera_height = 0;
    ViewName order[view_count] = {front_view, side_view, top_view};
};

/// Both upright views stand in one row if the body is no smaller than `least` for it.
Sizes measure(const Drawing& drawing, double width, double least = least_body);
double view_width(const Drawing& drawing, const Sizes& sizes, ViewName name);
double view_height(const Sizes& sizes, ViewName name);

/// One view of one pose.
struct PageView {
    std::string svg;
    double width = 0;
    const char *name = "", *words = ""; // "side"; "side, from the left"
};
PageView page_view(const Drawing& drawing, const Half& half, const Sizes& sizes, ViewName name);
/// What a view shows to those who do not see it.
std::string view_title(const Half& half, const char* view);

} // namespace aplomb::report
