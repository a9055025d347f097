// SPDX-License-Identifier: MIT
// Silhouettes of triangle meshes: a depth buffer as fine as the page needs, its outline by marching squares
// (W. Lorensen, H. Cline, SIGGRAPH 1987, in the plane) and the lines where one part stands in front of
// another, both thinned out (D. Douglas, T. Peucker, Cartographica 10(2), 1973).
#pragma once

#include <cstdint>
#include <vector>

#include "report/view.h"

namespace aplomb::report {

/// A corner on the page; `depth` in metres, greater is nearer to the viewer.
struct Corner {
    Point at;
    double depth = 0;
    bool visible = true; // false: behind the camera
};

using Strokes = std::vector<std::vector<Point>>;

/// Cells of the page that are covered.
struct Mask {
    Point corner; // page place of cell (0, 0)'s middle
    double step = 1;
    int width = 0, height = 0;
    std::vector<uint8_t> cells;

    size_t index(int x, int y) const {
        return static_cast<size_t>(y) * static_cast<size_t>(width) + static_cast<size_t>(x);
    }
    bool at(int x, int y) const { return cells[index(x, y)] != 0; }
    bool inside(int x, int y) const { return x >= 0 && y >= 0 && x < width && y < height; }
    Point place(double x, double y) const { return {corner.x + step * x, corner.y + step * y}; }
};

/// Cells between these, all included; none where `right` is below `left`.
struct Cells {
    int left = 0, top = 0, right = -1, bottom = -1;
};

/// What the nearest surface's depth is in every cell.
class DepthImage {
public:
    /// Covers the frame with cells of this size and some more around it.
    DepthImage(const Frame& frame, double step);

    void add(const std::vector<Corner>& corners, const int32_t* triangles, size_t triangle_count);
    const Mask& mask() const { return mask_; }
    float depth(int x, int y) const { return depths_[mask_.index(x, y)]; }
    const float* row(int y) const { return &depths_[mask_.index(0, y)]; }
    /// Outside of these all is empty.
    const Cells& touched() const { return touched_; }

private:
    /// Corners in cells.
    void add_triangle(const Corner& a, const Corner& b, const Corner& c);

    Mask mask_;
    Cells touched_;
    std::vector<float> depths_;
};

/// The cells where `front` covers `back`, and what of `front` lies within a few cells of them beside `back`; no larger
/// than it needs to be.
Mask in_front(const DepthImage& front, const DepthImage& back);
/// The cells of `image` that nothing of `other` covers.
Mask not_behind(const DepthImage& image, const DepthImage& other);

/// Closed outlines, holes included; specks are left out.
Strokes outlines_of(const Mask& mask);
/// Open lines inside `visible` where the depth jumps by more than `jump` metres; none shorter than `least`
/// page units.
Strokes depth_lines(const DepthImage& image, const Mask& visible, double jump, double least);

/// The area within outlines that lie as outlines_of gives them, page units squared.
double enclosed_area(const Strokes& outlines);

} // namespace aplomb::report
