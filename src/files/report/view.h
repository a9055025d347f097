// SPDX-License-Identifier: MIT
// Looks at the scene along one direction: projection, outlines, depth order, drawing of forms.
// The outline of a convex hull of ellipsoids is traced by its support function: in the direction d an
// ellipsoid with half-axes a_i reaches  c.d + sqrt(sum (a_i.d)^2)  (S. Boyd, L. Vandenberghe, "Convex
// Optimization", 2004, section 2.2.2 for the ellipsoid as an image of the ball).
#pragma once

#include <string>

#include "report/scene.h"
#include "report/svg_writer.h"

namespace aplomb::report {

/// Unit directions of the image; `near` points at the viewer.
struct View {
    Vec3 right, up, near;
};

/// Where things may be drawn, in page units.
struct Frame {
    double left = 0, right = 0, top = 0, bottom = 0;
};

/// Places a view on the page: in parallel projection `origin` is where the world's origin falls, in
/// perspective where the camera looks to.
struct Placement {
    View view;
    Point origin;
    double scale = 1; // page units per metre; in perspective per metre at one metre's distance
    bool perspective = false;
    Vec3 eye = {};           // of the camera, in perspective
    double tolerance = 0.05; // of curves, page units; finer than a printer's dot

    /// How far a point lies in front of the camera; in parallel projection only differences mean something.
    double ahead(const Vec3& p) const { return dot(eye - p, view.near); }
    bool visible(const Vec3& p) const { return !perspective || ahead(p) > nearest; }
    Point at(const Vec3& p) const {
        const Vec3 from = p - eye;
        const double size = scale_at(p);
        return {origin.x + size * dot(from, view.right), origin.y - size * dot(from, view.up)};
    }
    /// Page units per metre where this point is.
    double scale_at(const Vec3& p) const {
        return perspective ? scale / (visible(p) ? ahead(p) : nearest) : scale;
    }
    static constexpr double nearest = 1e-3; // metres
};

struct Box {
    double left = 1e30, right = -1e30, bottom = 1e30, top = -1e30;
    void add(double x, double y) {
        left = x < left ? x : left, right = x > right ? x : right;
        bottom = y < bottom ? y : bottom, top = y > top ? y : top;
    }
    void add(const Box& b) { add(b.left, b.bottom), add(b.right, b.top); }
    double width() const { return right - left; }
    double height() const { return top - bottom; }
};

/// What forms or points cover, in metres along `right` and `up`.
Box extent(const std::vector<Form>& forms, const View& view);
Box extent(const std::vector<Vec3>& points, const View& view);

/// The point of a hull that lies farthest in a direction.
Vec3 support(const Hull& hull, const Vec3& direction);

/// Draws the forms from back to front with volume.
void draw_forms(SvgWriter& svg, const std::vector<Form>& forms, const Placement& placement);
/// The outlines of all hulls as path data.
std::string outlines(const std::vector<Form>& forms, const Placement& placement);
/// Opens the mask ID-outside: all is shown but what is filled black until it is closed.
void open_mask(SvgWriter& svg, const std::string& id);
/// One thin outline around all forms together, nothing inside it or within `covered`, path data. `id` names
/// the mask in the document.
void draw_outline(SvgWriter& svg, const std::vector<Form>& forms, const std::string& covered,
                  const Placement& placement, const std::string& id);
/// Thin outlines of the feet alone.
void draw_feet(SvgWriter& svg, const std::vector<Form>& forms, const Placement& placement);
/// The convex hull of points on the page, counter-clockwise (A. Andrew, Inf. Proc. Letters 9(5), 1979).
std::vector<Point> hull_of(std::vector<Point> points);

} // namespace aplomb::report
