// SPDX-License-Identifier: MIT
#include "report/silhouette.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace aplomb::report {
namespace {

constexpr double line_tolerance = 0.07; // page units; finer than a printer's dot
constexpr double speck = 1.5;           // page units squared; smaller outlines are not drawn
constexpr int border = 4;               // empty cells around the frame, so that every outline closes
constexpr float nothing = -std::numeric_limits<float>::infinity();

constexpr int inside = 256; // of a smoothed cell: all around it is covered

/// Smooths the stairs of the cells: binomial weights 1 4 6 4 1 both ways, of `inside` in all.
std::vector<uint16_t> smoothed(const Mask& mask) {
    std::vector<uint16_t> rows(mask.cells.size()), out(mask.cells.size());
    const auto weigh = [](const auto* at, size_t step) {
        return static_cast<uint16_t>(at[0] + 4 * at[step] + 6 * at[2 * step] + 4 * at[3 * step] +
                                     at[4 * step]);
    };
    const auto width = static_cast<size_t>(mask.width), height = static_cast<size_t>(mask.height);
    for (size_t y = 0; y < height; ++y)
        for (size_t x = 2; x + 2 < width; ++x)
            rows[y * width + x] = weigh(&mask.cells[y * width + x - 2], 1);
    for (size_t y = 2; y + 2 < height; ++y)
        for (size_t x = 0; x < width; ++x)
            out[y * width + x] = weigh(&rows[(y - 2) * width + x], width);
    return out;
}

/// The level line at one half of a field over the cells' middles. Every grid edge that it crosses knows the
/// next one; edges to the right of a cell have even numbers, those below it odd ones.
class LevelLines {
public:
    explicit LevelLines(const Mask& mask)
        : mask_(mask), field_(smoothed(mask)), next_(2 * field_.size(), -1) {
        for (int y = 0; y + 1 < mask.height; ++y)
            for (int x = 0; x + 1 < mask.width; ++x)
                link(x, y);
    }
    Strokes rings() {
        Strokes out;
        for (size_t start = 0; start < next_.size(); ++start)
            if (next_[start] >= 0) out.push_back(ring(start));
        return out;
    }

private:
    int value(int x, int y) const { return field_[mask_.index(x, y)]; }

    /// The edges of the square whose upper left corner is this cell, clockwise from the top.
    int edge(int x, int y, int side) const {
        const auto number = [&](int cell_x, int cell_y, int kind) {
            return static_cast<int>(2 * mask_.index(cell_x, cell_y)) + kind;
        };
        if (side == 0) return number(x, y, 0);
        if (side == 1) return number(x + 1, y, 1);
        return side == 2 ? number(x, y + 1, 0) : number(x, y, 1);
    }
    /// A line enters where the clockwise way leaves the inside and ends where it comes back to it.
    void link(int x, int y) {
        const int corners[4] = {value(x, y), value(x + 1, y), value(x + 1, y + 1), value(x, y + 1)};
        bool in[4];
        int count = 0;
        for (int i = 0; i < 4; ++i)
            count += in[i] = 2 * corners[i] >= inside;
        if (count == 0 || count == 4) return;
        const bool saddle = count == 2 && in[0] == in[2];
        const bool joined = corners[0] + corners[1] + corners[2] + corners[3] >= 2 * inside;
        for (int from = 0; from < 4; ++from) {
            if (!in[from] || in[(from + 1) % 4]) continue;
            int to = saddle ? (joined ? from + 1 : from + 3) % 4 : from;
            while (!saddle && !(!in[to] && in[(to + 1) % 4]))
                to = (to + 1) % 4;
            next_[static_cast<size_t>(edge(x, y, from))] = edge(x, y, to);
        }
    }
    Point crossing(size_t number) const {
        const size_t cell = number / 2, row = static_cast<size_t>(mask_.width);
        const auto x = static_cast<int>(cell % row), y = static_cast<int>(cell / row);
        const bool down = number % 2 == 1;
        const int a = value(x, y), b = down ? value(x, y + 1) : value(x + 1, y);
        const double part = (0.5 * inside - a) / (b - a);
        return mask_.place(x + (down ? 0 : part), y + (down ? part : 0));
    }
    std::vector<Point> ring(size_t start) {
        std::vector<Point> points;
        for (size_t at = start; next_[at] >= 0;) {
            points.push_back(crossing(at));
            const auto following = static_cast<size_t>(next_[at]);
            next_[at] = -1;
            at = following;
        }
        return points;
    }

    const Mask& mask_;
    std::vector<uint16_t> field_;
    std::vector<int> next_;
};

double distance(Point p, Point a, Point b) {
    const double x = b.x - a.x, y = b.y - a.y, square = x * x + y * y;
    const double part = square > 0 ? std::clamp(((p.x - a.x) * x + (p.y - a.y) * y) / square, 0.0, 1.0) : 0.0;
    return span_of(p.x - a.x - part * x, p.y - a.y - part * y);
}

/// Keeps both ends and what lies farther than the tolerance from the line between the points kept.
std::vector<Point> thinned(const std::vector<Point>& points) {
    if (points.size() < 3) return points;
    std::vector<uint8_t> keep(points.size(), 0);
    keep.front() = keep.back() = 1;
    std::vector<std::pair<size_t, size_t>> spans{{0, points.size() - 1}};
    while (!spans.empty()) {
        const auto [first, last] = spans.back();
        spans.pop_back();
        size_t farthest = first;
        double most = line_tolerance;
        for (size_t i = first + 1; i < last; ++i)
            if (const double d = distance(points[i], points[first], points[last]); d > most)
                most = d, farthest = i;
        if (farthest == first) continue;
        keep[farthest] = 1;
        spans.emplace_back(first, farthest);
        spans.emplace_back(farthest, last);
    }
    std::vector<Point> out;
    for (size_t i = 0; i < points.size(); ++i)
        if (keep[i]) out.push_back(points[i]);
    return out;
}

std::vector<Point> thinned_ring(std::vector<Point> ring) {
    ring.push_back(ring.front());
    ring = thinned(ring);
    ring.pop_back();
    return ring;
}

double ring_area(const std::vector<Point>& ring) {
    double twice = 0;
    for (size_t i = 0; i < ring.size(); ++i) {
        const Point &a = ring[i], &b = ring[(i + 1) % ring.size()];
        twice += a.x * b.y - b.x * a.y;
    }
    return 0.5 * twice;
}

double length_of(const std::vector<Point>& line) {
    double length = 0;
    for (size_t i = 1; i < line.size(); ++i)
        length += span_of(line[i].x - line[i - 1].x, line[i].y - line[i - 1].y);
    return length;
}

/// Takes the stairs out of a line along cell borders: the mean over some steps, ends as they are.
void smooth(std::vector<Point>& line) {
    for (int pass = 0; pass < 12; ++pass) {
        std::vector<Point> out = line;
        for (size_t i = 1; i + 1 < line.size(); ++i)
            out[i] = {0.25 * line[i - 1].x + 0.5 * line[i].x + 0.25 * line[i + 1].x,
                      0.25 * line[i - 1].y + 0.5 * line[i].y + 0.25 * line[i + 1].y};
        line = std::move(out);
    }
}

/// Borders between cells whose depths are far apart, walked corner by corner.
class JumpLines {
public:
    JumpLines(const DepthImage& image, const Mask& visible, double jump)
        : image_(image), visible_(visible), jump_(jump), ways_(visible.cells.size(), 0) {
        for (int y = 1; y + 1 < visible.height; ++y)
            for (int x = 1; x + 1 < visible.width; ++x) {
                if (jumps(x, y, 1, 0)) connect(x + 1, y, down);
                if (jumps(x, y, 0, 1)) connect(x, y + 1, right);
            }
    }
    Strokes lines() {
        Strokes out;
        for (const bool ends_only : {true, false}) // what is left after the open lines are loops
            for (int y = 0; y < visible_.height; ++y)
                for (int x = 0; x < visible_.width; ++x)
                    while (ways(x, y) != 0 && (!ends_only || !passes(x, y)))
                        out.push_back(walk(x, y));
        return out;
    }

private:
    enum Way : uint8_t { right = 1, down = 2, left = 4, up = 8 };

    uint8_t& ways(int x, int y) { return ways_[visible_.index(x, y)]; }
    bool passes(int x, int y) {
        const int w = ways(x, y);
        return (w & 1) + (w >> 1 & 1) + (w >> 2 & 1) + (w >> 3 & 1) == 2;
    }
    /// Corner (x, y) is the upper left one of cell (x, y).
    void connect(int x, int y, Way way) {
        ways(x, y) |= way;
        if (way == down)
            ways(x, y + 1) |= up;
        else
            ways(x + 1, y) |= left;
    }
    double slope(int x, int y, int dx, int dy) const {
        if (!visible_.inside(x, y) || !visible_.inside(x + dx, y + dy) || !visible_.at(x, y) ||
            !visible_.at(x + dx, y + dy))
            return 0;
        return std::fabs(image_.depth(x + dx, y + dy) - image_.depth(x, y));
    }
    /// More than the surfaces on both sides account for.
    bool jumps(int x, int y, int dx, int dy) const {
        const double here = slope(x, y, dx, dy);
        return here > jump_ &&
               here - std::max(slope(x - dx, y - dy, dx, dy), slope(x + dx, y + dy, dx, dy)) > jump_;
    }
    std::vector<Point> walk(int x, int y) {
        static constexpr int dx[4] = {1, 0, -1, 0}, dy[4] = {0, 1, 0, -1};
        std::vector<Point> line{visible_.place(x - 0.5, y - 0.5)};
        do {
            int way = 0;
            while (!(ways(x, y) >> way & 1))
                ++way;
            ways(x, y) = static_cast<uint8_t>(ways(x, y) & ~(1 << way));
            x += dx[way], y += dy[way];
            ways(x, y) = static_cast<uint8_t>(ways(x, y) & ~(1 << (way + 2) % 4));
            line.push_back(visible_.place(x - 0.5, y - 0.5));
        } while (one_way(x, y));
        return line;
    }
    /// After the way that led here was taken off.
    bool one_way(int x, int y) {
        const int w = ways(x, y);
        return w != 0 && (w & (w - 1)) == 0;
    }

    const DepthImage& image_;
    const Mask& visible_;
    double jump_;
    std::vector<uint8_t> ways_;
};

} // namespace

namespace {

/// A weight along a row.
struct Linear {
    double step, inverse, start = 0;

    explicit Linear(double by) : step(by), inverse(by != 0 ? 1 / by : 0) {}
};

} // namespace

DepthImage::DepthImage(const Frame& frame, double step) {
    mask_.step = step;
    mask_.corner = {frame.left - border * step, frame.top - border * step};
    mask_.width = static_cast<int>(std::ceil((frame.right - frame.left) / step)) + 2 * border;
    mask_.height = static_cast<int>(std::ceil((frame.bottom - frame.top) / step)) + 2 * border;
    mask_.cells.assign(static_cast<size_t>(mask_.width) * static_cast<size_t>(mask_.height), 0);
    depths_.assign(mask_.cells.size(), nothing);
}

void DepthImage::add(const std::vector<Corner>& corners, const int32_t* triangles, size_t triangle_count) {
    for (size_t i = 0; i < triangle_count; ++i) {
        const Corner& a = corners[static_cast<size_t>(triangles[3 * i])];
        const Corner& b = corners[static_cast<size_t>(triangles[3 * i + 1])];
        const Corner& c = corners[static_cast<size_t>(triangles[3 * i + 2])];
        if (a.visible && b.visible && c.visible) add_triangle(a, b, c);
    }
    for (size_t i = 0; i < depths_.size(); ++i)
        mask_.cells[i] = depths_[i] > nothing;
}

void DepthImage::add_triangle(const Corner& a, const Corner& b, const Corner& c) {
    const auto cell = [&](Point p) {
        return Point{(p.x - mask_.corner.x) / mask_.step, (p.y - mask_.corner.y) / mask_.step};
    };
    const Point p = cell(a.at), q = cell(b.at), r = cell(c.at);
    const double whole = (q.x - p.x) * (r.y - p.y) - (r.x - p.x) * (q.y - p.y);
    if (whole == 0 || !std::isfinite(whole)) return;
    // The outermost cells stay empty.
    const auto low = [](double v) { return static_cast<int>(std::ceil(std::max(v, 2.0))); };
    const auto high = [](double v, int size) { return static_cast<int>(std::min(v, size - 3.0)); };
    const int x0 = low(std::min({p.x, q.x, r.x})), x1 = high(std::max({p.x, q.x, r.x}), mask_.width);
    const int y0 = low(std::min({p.y, q.y, r.y})), y1 = high(std::max({p.y, q.y, r.y}), mask_.height);
    constexpr double rounding = -1e-9;
    // The weights of the corners are linear along a row: each is positive from, or up to, some cell.
    const double du = (q.y - r.y) / whole, dv = (r.y - p.y) / whole, dw = -(du + dv);
    const double slope = du * a.depth + dv * b.depth + dw * c.depth;
    Linear weights[3] = {Linear(du), Linear(dv), Linear(dw)};
    for (int y = y0; y <= y1; ++y) {
        const double u = (q.x * (r.y - y) - r.x * (q.y - y)) / whole;
        const double v = (r.x * (p.y - y) - p.x * (r.y - y)) / whole;
        const double w = 1 - u - v, depth = u * a.depth + v * b.depth + w * c.depth;
        weights[0].start = u, weights[1].start = v, weights[2].start = w;
        double from = x0, to = x1;
        for (const Linear& weight : weights) {
            const double zero = (rounding - weight.start) * weight.inverse;
            if (weight.step > 0) from = std::max(from, zero);
            if (weight.step < 0) to = std::min(to, zero);
            if (weight.step == 0 && weight.start < rounding) to = from - 1;
        }
        if (!(from <= to)) continue;
        const auto first = static_cast<int>(std::ceil(from)), last = static_cast<int>(std::floor(to));
        float* row = &depths_[mask_.index(0, y)];
        for (int x = first; x <= last; ++x)
            row[x] = std::max(row[x], static_cast<float>(depth + slope * x));
    }
}

Mask in_front(const DepthImage& front, const DepthImage& back) {
    constexpr int beside = 3;
    Mask out = front.mask();
    std::fill(out.cells.begin(), out.cells.end(), uint8_t{0});
    for (int y = beside; y + beside < out.height; ++y)
        for (int x = beside; x + beside < out.width; ++x) {
            if (!back.mask().at(x, y) || !(front.depth(x, y) > back.depth(x, y))) continue;
            for (int v = y - beside; v <= y + beside; ++v)
                for (int u = x - beside; u <= x + beside; ++u)
                    if (front.depth(u, v) > back.depth(u, v)) out.cells[out.index(u, v)] = 1;
        }
    return out;
}

Mask not_behind(const DepthImage& image, const DepthImage& other) {
    Mask out = image.mask();
    for (int y = 0; y < out.height; ++y)
        for (int x = 0; x < out.width; ++x)
            if (other.depth(x, y) > image.depth(x, y)) out.cells[out.index(x, y)] = 0;
    return out;
}

Strokes outlines_of(const Mask& mask) {
    Strokes out;
    for (std::vector<Point>& ring : LevelLines(mask).rings())
        if (std::fabs(ring_area(ring)) >= speck) out.push_back(thinned_ring(std::move(ring)));
    return out;
}

Strokes depth_lines(const DepthImage& image, const Mask& visible, double jump, double least) {
    Strokes out;
    for (std::vector<Point>& line : JumpLines(image, visible, jump).lines()) {
        smooth(line);
        if (length_of(line) >= least) out.push_back(thinned(line));
    }
    return out;
}

double enclosed_area(const Strokes& outlines) {
    double area = 0;
    for (const std::vector<Point>& ring : outlines)
        area += ring_area(ring);
    return std::fabs(area);
}

} // namespace aplomb::report
