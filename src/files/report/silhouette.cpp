// SPDX-License-Identifier: MIT
#include "report/silhouette.h"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <initializer_list>
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
    std::vector<uint8_t> rows(mask.cells.size());
    std::vector<uint16_t> out(mask.cells.size());
    const auto width = static_cast<size_t>(mask.width), height = static_cast<size_t>(mask.height);
    for (size_t y = 0; y < height; ++y) {
        const uint8_t* from = &mask.cells[y * width];
        uint8_t* to = &rows[y * width];
        for (size_t x = 2; x + 2 < width; ++x)
            to[x] = static_cast<uint8_t>(from[x - 2] + from[x + 2] + 4 * (from[x - 1] + from[x + 1]) +
                                         6 * from[x]);
    }
    for (size_t y = 2; y + 2 < height; ++y) {
        const uint8_t* from = &rows[y * width];
        const uint8_t *above = from - width, *below = from + width;
        const uint8_t *highest = above - width, *lowest = below + width;
        uint16_t* to = &out[y * width];
        for (size_t x = 0; x < width; ++x)
            to[x] = static_cast<uint16_t>(highest[x] + lowest[x] + 4 * (above[x] + below[x]) + 6 * from[x]);
    }
    return out;
}

/// Calls `work` with the place of every byte that is neither 0 nor `full`; both are passed over eight at a time.
template<class Work>
void for_each_between(const std::vector<uint8_t>& bytes, uint8_t full, Work work) {
    const uint64_t all_full = 0x0101010101010101 * full;
    for (size_t i = 0; i < bytes.size(); i += 8) {
        const size_t end = std::min(i + 8, bytes.size());
        uint64_t eight = 0;
        std::memcpy(&eight, &bytes[i], end - i);
        if (eight == 0 || eight == all_full) continue;
        for (size_t at = i; at < end; ++at)
            if (bytes[at] != 0 && bytes[at] != full) work(at);
    }
}

/// The level line at one half of a field over the cells' middles. Every grid edge that it crosses stores how the line
/// goes on; edges to the right of a cell have even numbers, those below it odd ones.
class LevelLines {
public:
    explicit LevelLines(const Mask& mask) : mask_(mask), field_(smoothed(mask)), ways_(2 * field_.size(), 0) {
        const size_t width = static_cast<size_t>(mask.width);
        std::vector<uint8_t> covered(field_.size()), corners(width);
        for (size_t i = 0; i < field_.size(); ++i)
            covered[i] = 2 * field_[i] >= inside;
        for (int y = 0; y + 1 < mask.height; ++y) {
            const uint8_t *row = &covered[mask.index(0, y)], *below = row + width;
            for (size_t x = 0; x + 1 < width; ++x)
                corners[x] =
                    static_cast<uint8_t>(row[x] | row[x + 1] << 1 | below[x + 1] << 2 | below[x] << 3);
            for_each_between(corners, 15, [&](size_t x) { link(static_cast<int>(x), y, corners[x]); });
        }
    }
    Strokes rings() {
        Strokes out;
        for (const size_t start : starts_)
            if (ways_[start] != 0) out.push_back(ring(start));
        return out;
    }

private:
    int value(int x, int y) const { return field_[mask_.index(x, y)]; }

    /// The edges of the square whose upper left corner is this cell, clockwise from the top.
    size_t edge(int x, int y, int side) const {
        if (side == 1) ++x;
        if (side == 2) ++y;
        return 2 * mask_.index(x, y) + static_cast<size_t>(side % 2);
    }
    /// A line enters a square where the clockwise way leaves the inside and ends where it comes back to it.
    /// `corners`: a bit for each that is inside.
    void link(int x, int y, int corners) {
        const auto in = [corners](int corner) { return (corners >> corner % 4 & 1) != 0; };
        const bool saddle = corners == 5 || corners == 10;
        const bool joined =
            saddle && value(x, y) + value(x + 1, y) + value(x + 1, y + 1) + value(x, y + 1) >= 2 * inside;
        for (int from = 0; from < 4; ++from) {
            if (!in(from) || in(from + 1)) continue;
            int to = saddle ? (joined ? from + 1 : from + 3) % 4 : from;
            while (!saddle && !(!in(to) && in(to + 1)))
                to = (to + 1) % 4;
            const size_t entered = edge(x, y, from);
            ways_[entered] = static_cast<uint8_t>(1 + 4 * from + to);
            starts_.push_back(entered);
        }
    }
    /// The edge at which the line leaves the square that it entered at this one.
    size_t following(size_t number) const {
        const size_t cell = number / 2, row = static_cast<size_t>(mask_.width);
        const int from = (ways_[number] - 1) / 4, to = (ways_[number] - 1) % 4;
        return edge(static_cast<int>(cell % row) - (from == 1), static_cast<int>(cell / row) - (from == 2),
                    to);
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
        for (size_t at = start; ways_[at] != 0;) {
            points.push_back(crossing(at));
            const size_t next = following(at);
            ways_[at] = 0;
            at = next;
        }
        return points;
    }

    const Mask& mask_;
    std::vector<uint16_t> field_;
    std::vector<uint8_t>
        ways_; // per edge: 0, or 1 plus 4 times the side at which a square is entered plus the side at which it is left
    std::vector<size_t> starts_;
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
        Point before = line[0];
        for (size_t i = 1; i + 1 < line.size(); ++i) {
            const Point here = line[i];
            line[i] = {0.25 * before.x + 0.5 * here.x + 0.25 * line[i + 1].x,
                       0.25 * before.y + 0.5 * here.y + 0.25 * line[i + 1].y};
            before = here;
        }
    }
}

/// Borders between cells whose depths are far apart, walked corner by corner.
class JumpLines {
public:
    JumpLines(const DepthImage& image, const Mask& visible, double jump)
        : image_(image), visible_(visible), jump_(jump), ways_(visible.cells.size(), 0) {
        const auto far_apart = [&](float a, float b) { return std::fabs(b - a) > jump; };
        for (int y = 1; y + 1 < visible.height; ++y) {
            const float *here = image.row(y), *below = image.row(y + 1);
            for (int x = 1; x + 1 < visible.width; ++x) {
                if (far_apart(here[x], here[x + 1]) && jumps(x, y, 1, 0)) connect(x + 1, y, down);
                if (far_apart(here[x], below[x]) && jumps(x, y, 0, 1)) connect(x, y + 1, right);
            }
        }
    }
    Strokes lines() {
        Strokes out;
        for (const bool ends_only : {true, false}) // what is left after the open lines are loops
            for_each_between(ways_, 0, [&](size_t at) {
                const size_t width = static_cast<size_t>(visible_.width);
                const int x = static_cast<int>(at % width), y = static_cast<int>(at / width);
                while (ways(x, y) != 0 && (!ends_only || !passes(x, y)))
                    out.push_back(walk(x, y));
            });
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
    /// Whether depth changes by more than the slopes of the surfaces on both sides account for.
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
    /// Whether exactly one way leads on from here, the way that led here having been removed.
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

DepthImage::DepthImage(const Frame& frame, double step) {
    mask_.step = step;
    mask_.corner = {frame.left - border * step, frame.top - border * step};
    mask_.width = static_cast<int>(std::ceil((frame.right - frame.left) / step)) + 2 * border;
    mask_.height = static_cast<int>(std::ceil((frame.bottom - frame.top) / step)) + 2 * border;
    mask_.cells.assign(static_cast<size_t>(mask_.width) * static_cast<size_t>(mask_.height), 0);
    depths_.assign(mask_.cells.size(), nothing);
    touched_ = {mask_.width, mask_.height, -1, -1};
}

void DepthImage::add(const std::vector<Corner>& corners, const int32_t* triangles, size_t triangle_count) {
    std::vector<Corner> cells = corners; // places counted in cells
    for (Corner& c : cells)
        c.at = {(c.at.x - mask_.corner.x) / mask_.step, (c.at.y - mask_.corner.y) / mask_.step};
    for (size_t i = 0; i < triangle_count; ++i) {
        const Corner& a = cells[static_cast<size_t>(triangles[3 * i])];
        const Corner& b = cells[static_cast<size_t>(triangles[3 * i + 1])];
        const Corner& c = cells[static_cast<size_t>(triangles[3 * i + 2])];
        if (a.visible && b.visible && c.visible) add_triangle(a, b, c);
    }
    for (int y = touched_.top; y <= touched_.bottom; ++y)
        for (int x = touched_.left; x <= touched_.right; ++x)
            mask_.cells[mask_.index(x, y)] = depths_[mask_.index(x, y)] > nothing;
}

namespace {

/// Where an edge crosses the rows of cells. Of two triangles that share it both find the same bits.
struct Edge {
    Point from;
    double per_row;

    Edge(const Corner* high, const Corner* low)
        : from(high->at), per_row((low->at.x - from.x) / (low->at.y - from.y)) {}
    double at(int row) const { return from.x + per_row * (row - from.y); }
};

} // namespace

void DepthImage::add_triangle(const Corner& a, const Corner& b, const Corner& c) {
    constexpr double edge_on = 1e-6; // twice the area, in cells: covers none
    const Corner *high = &a, *middle = &b, *low = &c;
    if (middle->at.y < high->at.y) std::swap(middle, high);
    if (low->at.y < middle->at.y) std::swap(low, middle);
    if (middle->at.y < high->at.y) std::swap(middle, high);
    // The outermost cells stay empty.
    const double top = std::max(std::ceil(high->at.y), 2.0),
                 bottom = std::min(std::floor(low->at.y), mask_.height - 3.0), most = mask_.width - 3.0;
    if (!(top <= bottom)) return;
    const Point p = a.at, q{b.at.x - p.x, b.at.y - p.y}, r{c.at.x - p.x, c.at.y - p.y};
    const double whole = q.x * r.y - r.x * q.y;
    if (!(std::fabs(whole) > edge_on) || !std::isfinite(whole)) return;
    const double to_b = (b.depth - a.depth) / whole, to_c = (c.depth - a.depth) / whole;
    const double slope = to_b * r.y - to_c * q.y, fall = to_c * q.x - to_b * r.x;
    const bool flat_below = !(low->at.y > middle->at.y); // then the middle's row belongs to the upper edge
    const Edge whole_way(high, low), upper(high, middle), lower(middle, low);
    const int last = static_cast<int>(bottom);
    for (int row = static_cast<int>(top); row <= last; ++row) {
        const double one = whole_way.at(row),
                     other = row < middle->at.y || flat_below ? upper.at(row) : lower.at(row);
        const double left = std::max(std::ceil(std::min(one, other)), 2.0),
                     right = std::min(std::floor(std::max(one, other)), most);
        if (!(left <= right)) continue;
        const int begin = static_cast<int>(left), end = static_cast<int>(right);
        touched_.left = std::min(touched_.left, begin), touched_.right = std::max(touched_.right, end);
        touched_.top = std::min(touched_.top, row), touched_.bottom = std::max(touched_.bottom, row);
        const double depth = a.depth + fall * (row - p.y) - slope * p.x;
        float* cells = &depths_[mask_.index(0, row)];
        for (int x = begin; x <= end; ++x)
            cells[x] = std::max(cells[x], static_cast<float>(depth + slope * x));
    }
}

Mask in_front(const DepthImage& front, const DepthImage& back) {
    constexpr int beside = 3;
    const Cells& cells = back.touched();
    const Mask& whole = front.mask();
    Mask out;
    if (cells.right < cells.left) return out;
    const int left = cells.left - beside - border, top = cells.top - beside - border;
    out.step = whole.step;
    out.corner = whole.place(left, top);
    out.width = cells.right + beside + border + 1 - left;
    out.height = cells.bottom + beside + border + 1 - top;
    out.cells.assign(static_cast<size_t>(out.width) * static_cast<size_t>(out.height), 0);
    for (int y = std::max(cells.top, beside); y <= std::min(cells.bottom, whole.height - beside - 1); ++y)
        for (int x = std::max(cells.left, beside); x <= std::min(cells.right, whole.width - beside - 1);
             ++x) {
            if (!back.mask().at(x, y) || !(front.depth(x, y) > back.depth(x, y))) continue;
            for (int v = y - beside; v <= y + beside; ++v)
                for (int u = x - beside; u <= x + beside; ++u)
                    if (front.depth(u, v) > back.depth(u, v)) out.cells[out.index(u - left, v - top)] = 1;
        }
    return out;
}

Mask not_behind(const DepthImage& image, const DepthImage& other) {
    Mask out = image.mask();
    const Cells& cells = other.touched();
    for (int y = cells.top; y <= cells.bottom; ++y)
        for (int x = cells.left; x <= cells.right; ++x)
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
