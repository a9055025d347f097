// SPDX-License-Identifier: MIT
#include "report/body.h"

#include <algorithm>
#include <cmath>

#include "report/silhouette.h"
#include "report/tessellate.h"

namespace aplomb::report {
namespace {

constexpr double most_cells = 1600; // along the longer side of a view
constexpr const char* body_fill = R"(fill="#0072B2" fill-rule="evenodd")";
constexpr const char* body_edge =
    R"( stroke="#003857" stroke-width="0.8" stroke-linejoin="round" paint-order="stroke")";
constexpr const char* inner_line =
    R"(fill="none" stroke="#D6EAF5" stroke-width="0.9" stroke-linecap="round" stroke-linejoin="round")";
constexpr const char* load_fill =
    R"(fill="#E69F00" stroke="#7A5500" stroke-width="1.1" paint-order="stroke")";
constexpr const char* hidden_load =
    R"(class="hidden-load" fill="none" stroke="#E69F00" stroke-width="1.6" stroke-dasharray="5 3")";

struct Triangles {
    std::vector<Corner> corners;
    const int32_t* first = nullptr;
    size_t count = 0;
};

std::vector<Corner> project(const std::vector<Vec3>& points, const Placement& placement) {
    std::vector<Corner> corners;
    corners.reserve(points.size());
    for (const Vec3& p : points)
        corners.push_back({placement.at(p), -placement.ahead(p), placement.visible(p)});
    return corners;
}

/// The part of the frame that the corners reach.
Frame reach(const std::vector<Corner>& corners, const Frame& frame) {
    Frame out{frame.right, frame.left, frame.bottom, frame.top};
    for (const Corner& c : corners)
        if (c.visible) {
            out.left = std::min(out.left, c.at.x), out.right = std::max(out.right, c.at.x);
            out.top = std::min(out.top, c.at.y), out.bottom = std::max(out.bottom, c.at.y);
        }
    // A little beyond the frame, so that no cut edge is seen.
    out.left = std::max(out.left, frame.left - 4), out.right = std::min(out.right, frame.right + 4);
    out.top = std::max(out.top, frame.top - 4), out.bottom = std::min(out.bottom, frame.bottom + 4);
    return out;
}

double cell_size(const Drawing& drawing, const Frame& frame) {
    return std::max(drawing.finest,
                    std::max(frame.right - frame.left, frame.bottom - frame.top) / most_cells);
}

std::string closed_path(const Strokes& outlines) {
    std::string data;
    for (const std::vector<Point>& ring : outlines)
        data += path_data(ring);
    return data;
}

/// The body's triangles; the lay figure's are kept in `made`.
Triangles body_triangles(const Drawing& drawing, const Half& half, const Placement& placement,
                         Surface& made) {
    if (!half.skin.empty()) {
        const aplomb_mesh& mesh = *drawing.picture->mesh;
        return {project(half.skin, placement), mesh.triangles, static_cast<size_t>(mesh.triangle_count)};
    }
    made = tessellate(half.body);
    return {project(made.points, placement), made.triangles.data(), made.triangles.size() / 3};
}

DepthImage image_of(const Triangles& triangles, const Frame& frame, double step) {
    DepthImage image(frame, step);
    image.add(triangles.corners, triangles.first, triangles.count);
    return image;
}

DepthImage image_of(const std::vector<Form>& forms, const Placement& placement, const Frame& frame,
                    double step) {
    const Surface surface = tessellate(forms);
    return image_of(
        {project(surface.points, placement), surface.triangles.data(), surface.triangles.size() / 3}, frame,
        step);
}

/// From far to near; their true outlines follow from triangles in perspective only.
void draw_loads(SvgWriter& svg, const std::vector<Form>& loads, const Placement& placement,
                const Frame& frame, double step) {
    if (!placement.perspective) return draw_forms(svg, loads, placement);
    for (const Form& form : loads) {
        const std::string data = closed_path(outlines_of(image_of({form}, placement, frame, step).mask()));
        if (!data.empty()) svg.path(data, load_fill);
    }
}

/// Whether the body covers the load's middle.
bool is_hidden(const Form& load, const DepthImage& body, const DepthImage& loads,
               const Placement& placement) {
    const Box box = extent({load}, placement.view);
    const Point middle{placement.origin.x + placement.scale * (box.left + box.right) / 2,
                       placement.origin.y - placement.scale * (box.bottom + box.top) / 2};
    const Mask& mask = body.mask();
    const int x = static_cast<int>(std::lround((middle.x - mask.corner.x) / mask.step)),
              y = static_cast<int>(std::lround((middle.y - mask.corner.y) / mask.step));
    return mask.inside(x, y) && mask.at(x, y) && body.depth(x, y) > loads.depth(x, y);
}

/// A load within or behind the body is dashed over it, so that it is seen where it is.
void draw_hidden_loads(SvgWriter& svg, const std::vector<Form>& forms, const DepthImage& body,
                       const DepthImage& loads, const Placement& placement) {
    if (placement.perspective) return;
    for (const Form& form : forms)
        if (form.load >= 0 && is_hidden(form, body, loads, placement))
            svg.path(outlines({form}, placement), hidden_load);
}

bool same(const Vec3& a, const Vec3& b) {
    return a.x == b.x && a.y == b.y && a.z == b.z;
}

bool same(const Placement& a, const Placement& b) {
    return same(a.view.right, b.view.right) && same(a.view.up, b.view.up) && same(a.view.near, b.view.near) &&
           same(a.eye, b.eye) && a.origin.x == b.origin.x && a.origin.y == b.origin.y && a.scale == b.scale &&
           a.perspective == b.perspective;
}

bool same(const Frame& a, const Frame& b) {
    return a.left == b.left && a.right == b.right && a.top == b.top && a.bottom == b.bottom;
}

/// The outline of this half, if it was drawn in this place before.
const std::string* drawn_outline(const Half& half, const Placement& placement, const Frame& frame) {
    for (const DrawnOutline& drawn : half.outlines)
        if (same(drawn.placement, placement) && same(drawn.frame, frame)) return &drawn.path;
    return nullptr;
}

void draw_silhouette(SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement,
                     const Frame& frame) {
    Surface made;
    const Triangles triangles = body_triangles(drawing, half, placement, made);
    const Frame part = reach(triangles.corners, frame);
    if (!(part.right > part.left && part.bottom > part.top)) return;
    const double step = cell_size(drawing, part);
    const DepthImage body = image_of(triangles, part, step);
    const DepthImage loads = image_of(half.loads, placement, part, step);

    half.outlines.push_back({placement, frame, closed_path(outlines_of(body.mask()))});
    svg.path(half.outlines.back().path, std::string(body_fill) + body_edge);
    draw_loads(svg, half.loads, placement, frame, step);
    const std::string front = closed_path(outlines_of(in_front(body, loads)));
    if (!front.empty()) svg.path(front, body_fill);
    std::string lines;
    for (const auto& line : depth_lines(body, not_behind(body, loads), 0.013 * drawing.body.stature,
                                        0.03 * drawing.body.stature * placement.scale_at(half.middle)))
        lines += path_data(line, false);
    if (!lines.empty()) svg.path(lines, inner_line);
    draw_hidden_loads(svg, half.loads, body, loads, placement);
}

bool as_silhouette(const Half& half, const Placement& placement) {
    return !half.skin.empty() || placement.perspective;
}

} // namespace

Box body_extent(const Half& half, const View& view) {
    return half.skin.empty() ? extent(half.body, view) : extent(half.skin, view);
}

void draw_solids(SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement,
                 const Frame& frame) {
    if (as_silhouette(half, placement)) return draw_silhouette(svg, drawing, half, placement, frame);
    std::vector<Form> all = half.body;
    all.insert(all.end(), half.loads.begin(), half.loads.end());
    draw_forms(svg, all, placement);
}

namespace {

/// The loads of the corrected pose that lie before the body, or in its middle: they cover the keyed outline.
std::vector<Form> loads_before(const Drawing& drawing, const Placement& placement) {
    std::vector<Form> loads;
    for (const Form& form : drawing.after.loads) {
        const Vec3 from_body = form.hulls[0][0].centre - drawing.after.middle;
        if (dot(from_body, placement.view.near) > -0.05 * drawing.body.stature) loads.push_back(form);
    }
    return loads;
}

std::string outline_path(const Drawing& drawing, const Half& half, const Placement& placement,
                         const Frame& frame) {
    Surface made;
    const Triangles triangles = body_triangles(drawing, half, placement, made);
    const Frame part = reach(triangles.corners, frame);
    if (!(part.right > part.left && part.bottom > part.top)) return {};
    return closed_path(outlines_of(image_of(triangles, part, cell_size(drawing, part)).mask()));
}

} // namespace

void draw_keyed_outline(SvgWriter& svg, const Drawing& drawing, const Placement& placement,
                        const Frame& frame, const std::string& id) {
    const Half& keyed = drawing.before;
    const std::string covered = outlines(loads_before(drawing, placement), placement);
    if (!as_silhouette(keyed, placement)) return draw_outline(svg, keyed.body, covered, placement, id);
    const std::string* drawn = drawn_outline(keyed, placement, frame);
    const std::string path = drawn != nullptr ? *drawn : outline_path(drawing, keyed, placement, frame);
    if (path.empty()) return;
    open_mask(svg, id);
    svg.path(covered, R"(fill="#000000")");
    svg.close("mask");
    svg.path(path, R"(id=")" + id + R"-(" fill="none" stroke="#404040" stroke-width="0.9" mask="url(#)-" +
                       id + R"-(-outside)")-");
}

void draw_feet_of(SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement) {
    if (half.skin.empty()) return draw_feet(svg, half.body, placement);
    for (const BodyLimb& limb : drawing.body.limbs) {
        std::vector<Point> points;
        for (const SolePoint& p : limb.sole)
            points.push_back(placement.at(sole_place(half.posture, p)));
        if (points.size() >= 3)
            svg.polygon(hull_of(points),
                        R"(fill="#FFFFFF" fill-opacity="0.35" stroke="#003857" stroke-width="0.8")");
    }
}

} // namespace aplomb::report
