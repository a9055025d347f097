// SPDX-License-Identifier: MIT
#include "report/view.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <initializer_list>
#include <numeric>

namespace aplomb::report {
namespace {

constexpr int directions = 72;

struct Paint {
    const char *near, *far, *line;
};

/// Fills near and far (a shade darker) and the outline.
Paint paint(Material material) {
    switch (material) {
    case Material::waist:
        return {"#00659E", "#004F7C", "#003857"};
    case Material::sole:
        return {"#00486F", "#003F61", "#00304A"};
    case Material::load:
        return {"#E69F00", "#E69F00", "#7A5500"};
    case Material::load_line:
        return {"#7A5500", "#7A5500", "#7A5500"};
    case Material::body:
        break;
    }
    return {"#0072B2", "#00588A", "#003857"};
}

double distance_to_chord(Point p, Point a, Point b) {
    const double x = b.x - a.x, y = b.y - a.y, length = span_of(x, y);
    if (length < 1e-12) return span_of(p.x - a.x, p.y - a.y);
    return std::fabs(x * (p.y - a.y) - y * (p.x - a.x)) / length;
}

/// Leaves out points whose absence cannot be seen.
std::vector<Point> thin_out(const std::vector<Point>& points, double tolerance) {
    std::vector<Point> kept;
    for (size_t start = 0; start < points.size();) {
        kept.push_back(points[start]);
        size_t next = start + 1;
        for (bool close = true; close && next + 1 < points.size();) {
            for (size_t i = start + 1; i <= next && close; ++i)
                close = distance_to_chord(points[i], points[start], points[next + 1]) < tolerance;
            next += close;
        }
        start = next;
    }
    return kept;
}

using Compass = std::array<SinCos, directions>;

/// The directions in which outlines are traced: the same for all.
const Compass& compass() {
    static const Compass all = [] {
        Compass turns;
        for (int i = 0; i < directions; ++i)
            turns[static_cast<size_t>(i)] = sin_cos(2 * pi * i / directions);
        return turns;
    }();
    return all;
}

std::vector<Point> outline(const Hull& hull, const Placement& placement) {
    std::vector<Point> points;
    points.reserve(directions);
    for (const SinCos& turn : compass()) {
        points.push_back(
            placement.at(support(hull, placement.view.right * turn.cos + placement.view.up * turn.sin)));
    }
    return thin_out(points, placement.tolerance);
}

std::string outlines(const Form& form, const Placement& placement) {
    std::string data;
    for (const Hull& hull : form.hulls)
        data += path_data(outline(hull, placement));
    return data;
}

Vec3 middle(const Form& form) {
    Vec3 sum;
    double count = 0;
    for (const Hull& hull : form.hulls)
        for (const Ellipsoid& e : hull)
            sum += e.centre, count += 1;
    return sum / std::max(count, 1.0);
}

double depth(const Form& form, const View& view) {
    return dot(middle(form), view.near) + form.bias;
}

/// The side of the form that the light falls on: thinner, and moved up and to the left.
Hull lit_part(const Hull& hull, const View& view, double width) {
    Hull lit = hull;
    const Vec3 light = normalized(view.up * 0.6 - view.right);
    for (Ellipsoid& e : lit) {
        double square = 0;
        for (const Vec3& axis : e.axes)
            square += dot(axis, light) * dot(axis, light);
        e.centre += light * (0.66 * (1 - width) * std::sqrt(square));
        for (Vec3& axis : e.axes)
            axis *= width;
    }
    return lit;
}

std::string darken(const char* near, const char* far, double part) {
    std::string colour = "#";
    for (int i = 0; i < 3; ++i) {
        const auto channel = [i](const char* text) {
            return std::stoi(std::string(text).substr(static_cast<size_t>(1 + 2 * i), 2), nullptr, 16);
        };
        const int value =
            static_cast<int>(std::lround(channel(near) + part * (channel(far) - channel(near))));
        constexpr char digits[] = "0123456789ABCDEF";
        colour += digits[value / 16];
        colour += digits[value % 16];
    }
    return colour;
}

void draw_form(SvgWriter& svg, const Form& form, const Placement& placement, double far_part) {
    const Paint colours = paint(form.material);
    const std::string fill = darken(colours.near, colours.far, far_part);
    svg.path(outlines(form, placement), R"(fill=")" + fill + R"(" stroke=")" + colours.line +
                                            R"(" stroke-width="1.1" paint-order="stroke")");
    if (form.material != Material::body && form.material != Material::waist) return;
    for (const double width : {0.62, 0.34})
        svg.polygon(outline(lit_part(form.hulls[0], placement.view, width), placement),
                    R"(fill="#FFFFFF" fill-opacity="0.09")");
}

} // namespace

Vec3 support(const Hull& hull, const Vec3& direction) {
    Vec3 best;
    double farthest = -1e300;
    for (const Ellipsoid& e : hull) {
        Vec3 reach;
        double square = 0;
        for (const Vec3& axis : e.axes) {
            const double along = dot(axis, direction);
            reach += axis * along;
            square += along * along;
        }
        const double length = std::sqrt(square);
        if (dot(e.centre, direction) + length > farthest) {
            farthest = dot(e.centre, direction) + length;
            best = length > 0 ? e.centre + reach / length : e.centre;
        }
    }
    return best;
}

Box extent(const std::vector<Vec3>& points, const View& view) {
    Box box;
    for (const Vec3& p : points)
        box.add(dot(p, view.right), dot(p, view.up));
    return box;
}

Box extent(const std::vector<Form>& forms, const View& view) {
    Box box;
    for (const Form& form : forms)
        for (const Hull& hull : form.hulls) {
            box.add(dot(support(hull, view.right), view.right), dot(support(hull, view.up), view.up));
            box.add(dot(support(hull, -view.right), view.right), dot(support(hull, -view.up), view.up));
        }
    return box;
}

void draw_forms(SvgWriter& svg, const std::vector<Form>& forms, const Placement& placement) {
    std::vector<size_t> order(forms.size());
    std::iota(order.begin(), order.end(), size_t{0});
    std::vector<double> depths, body_depths;
    for (const Form& form : forms) {
        depths.push_back(depth(form, placement.view));
        if (form.material == Material::body) body_depths.push_back(depths.back());
    }
    std::sort(body_depths.begin(), body_depths.end());
    const double middle_depth = body_depths.empty() ? 0 : body_depths[body_depths.size() / 2];
    const Box box = extent(forms, placement.view);
    const double shade_depth = 0.04 * std::max(box.width(), box.height());

    std::stable_sort(order.begin(), order.end(), [&](size_t a, size_t b) { return depths[a] < depths[b]; });
    svg.open("g", R"(stroke-linejoin="round")");
    for (const size_t i : order)
        draw_form(svg, forms[i], placement, std::clamp((middle_depth - depths[i]) / shade_depth, 0.0, 1.0));
    svg.close("g");
}

std::string outlines(const std::vector<Form>& forms, const Placement& placement) {
    std::string data;
    for (const Form& form : forms)
        if (form.material != Material::load_line) data += outlines(form, placement);
    return data;
}

void open_mask(SvgWriter& svg, const std::string& id) {
    svg.open("mask", R"(id=")" + id +
                         R"(-outside" maskUnits="userSpaceOnUse" x="0" y="0" width="2000" height="2000")");
    svg.rectangle({0, 0}, 2000, 2000, R"(fill="#FFFFFF")");
}

void draw_outline(SvgWriter& svg, const std::vector<Form>& forms, const std::string& covered,
                  const Placement& placement, const std::string& id) {
    // Only what lies outside all forms is left of the strokes, so that inner edges vanish.
    svg.open("defs", "");
    svg.path(outlines(forms, placement), R"(id=")" + id + R"(")");
    open_mask(svg, id);
    svg.raw(R"(<use href="#)" + id + R"(" fill="#000000"/>)" + "\n");
    svg.path(covered, R"(fill="#000000")");
    svg.close("mask");
    svg.close("defs");
    svg.raw(R"(<use href="#)" + id + R"-(" fill="none" stroke="#404040" stroke-width="1.5" mask="url(#)-" +
            id + R"-(-outside)"/>)-" + "\n");
}

void draw_feet(SvgWriter& svg, const std::vector<Form>& forms, const Placement& placement) {
    for (const Form& form : forms)
        if (form.foot)
            svg.path(
                outlines(form, placement),
                R"(fill="#FFFFFF" fill-opacity="0.35" stroke="#003857" stroke-width="0.8" paint-order="stroke")");
}

std::vector<Point> hull_of(std::vector<Point> points) {
    std::sort(points.begin(), points.end(),
              [](const Point& a, const Point& b) { return a.x < b.x || (a.x == b.x && a.y < b.y); });
    std::vector<Point> hull;
    for (const bool back : {false, true}) {
        const size_t base = hull.size();
        for (const Point& p : points) {
            while (hull.size() >= base + 2) {
                const Point &a = hull[hull.size() - 2], &b = hull.back();
                if ((b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x) > 0) break;
                hull.pop_back();
            }
            hull.push_back(p);
        }
        hull.pop_back();
        if (!back) std::reverse(points.begin(), points.end());
    }
    return hull;
}

} // namespace aplomb::report
