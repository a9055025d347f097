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

/// Places a view on the page: `origin` is where the world's origin falls.
struct Sheet {
    View view;
    Point origin;
    double scale = 1; // page units per metre

    Point at(const Vec3& p) const {
        return {origin.x + scale * dot(p, view.right), origin.y - scale * dot(p, view.up)};
    }
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

/// What the forms cover, in metres along `right` and `up`.
Box extent(const std::vector<Form>& forms, const View& view);

/// Draws the forms from back to front with volume.
void draw_forms(SvgWriter& svg, const std::vector<Form>& forms, const Sheet& sheet);
/// One thin outline around all forms together, nothing inside. `id` names the mask in the document.
void draw_outline(SvgWriter& svg, const std::vector<Form>& forms, const Sheet& sheet, const std::string& id);
/// Thin outlines of the feet alone.
void draw_feet(SvgWriter& svg, const std::vector<Form>& forms, const Sheet& sheet);

} // namespace aplomb::report
