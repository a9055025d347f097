// SPDX-License-Identifier: MIT
// The marks of a reading on one view: ground, support area, plumb line, centre of mass, shares, words.
#pragma once

#include "report/drawing.h"

namespace aplomb::report {

/// The hatch and arrow-head that the marks refer to.
void define_marks(SvgWriter& svg);

/// Of the ground line, on the page.
double ground_y(const Drawing& drawing, const Placement& placement);
void draw_ground(SvgWriter& svg, const Drawing& drawing, const Placement& placement, const Frame& frame);
/// The support area as a bar on the ground line.
void draw_area_bar(SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement);
void draw_area(SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement);
void draw_plumb_line(SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement,
                     const Frame& frame);
/// The balance point, home and, out of balance, the arrow, seen from above.
void draw_balance_point(SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement,
                        const Frame& frame);
/// How far an arrow from `tail` to `goal` says that it is: beside the figure, or on a white ground where no place is free.
void draw_distance(SvgWriter& svg, const std::string& text, const Drawing& drawing, const Half& half,
                   const Placement& placement, Point tail, Point goal, const Frame& frame);
/// The same arrow below the ground line of a front or side view, where it shows there.
void draw_ground_arrow(SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement,
                       const Frame& frame);
void draw_centre_of_mass(SvgWriter& svg, Point at, double radius);
void draw_home(SvgWriter& svg, Point at);
/// load_labels.cpp: each load's mass on it, or beside it where there is no room, in one of the upright views.
void draw_load_masses(SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement,
                      const Frame& frame, ViewName name);
/// Whether the balance point is elsewhere than where the plumb line arrives, as with a pull.
bool balance_point_apart(const Drawing& drawing, const Half& half);
bool balance_point_apart(const Drawing& drawing); // in any half
/// The balance point on the ground line, where it is elsewhere.
void draw_balance_dot(SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement);
void draw_dot(SvgWriter& svg, Point at);
/// touching.cpp: pulls as arrows, longer for a greater part of the weight, with their newtons; an arrow that leads to
/// the viewer or away is a circle with its point or its feathers.
struct PullArrow {
    Vec3 from, to;
    double newtons;
};
std::vector<PullArrow> pull_arrows(const Drawing& drawing, const Half& half);
void draw_pulls(SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement,
                const Frame& frame);
void draw_pull_sample(SvgWriter& svg, Point at);
/// What bears beside the feet, where it is keyed: patches of other parts and hands.
std::vector<std::vector<Vec3>> bearing_patches(const Drawing& drawing);
void draw_patches(SvgWriter& svg, const Drawing& drawing, const Placement& placement);
/// The patches as bars, like the support area's on the ground line.
void draw_patches_edge_on(SvgWriter& svg, const Drawing& drawing, const Placement& placement);
/// foot.cpp: the outline of the sole of a foot that is suggested, from above, on the last half; empty where there is none.
std::vector<Vec3> suggested_sole(const Drawing& drawing);
void draw_suggested_sole(SvgWriter& svg, const Drawing& drawing, const Placement& placement);
void draw_suggested_sample(SvgWriter& svg, Point at);
/// foot_labels.cpp: what each foot bears. Below the feet, for a figure on two.
void draw_shares_below(SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement,
                       const Frame& frame);
/// Beside the view from above, for more than two.
void draw_shares_beside(SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement,
                        const Frame& frame);
bool many_feet(const Drawing& drawing);
/// body_lines.cpp: lines through the body: pelvis line with rings at its ends, shoulder line with dots, line of action.
struct BodyLine {
    const char *name, *words; // the name is the lines' class on pages
};
inline constexpr BodyLine body_lines[] = {
    {"pelvis-line", "pelvis line"}, {"shoulder-line", "shoulder line"}, {"line-of-action", "line of action"}};
void draw_line_sample(SvgWriter& svg, const BodyLine& line, Point at);
void draw_body_lines(SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement);
/// scale_bar.cpp. Page units that the bar takes; its words stand behind it.
double scale_bar_width(const Body& body, double scale);
std::string scale_words(const Body& body);
void draw_scale_bar(SvgWriter& svg, const Body& body, Point at, double scale);

} // namespace aplomb::report
