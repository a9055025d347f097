// SPDX-License-Identifier: MIT
// Hull, margin and greatest margin against brute force.
#include "support/area.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

namespace {

using aplomb::Area;
using aplomb::Vec2;

std::vector<Vec2> random_points(std::mt19937& random, int count) {
    std::uniform_real_distribution<double> place(-0.3, 0.3);
    std::vector<Vec2> points;
    for (int i = 0; i < count; ++i)
        points.push_back({place(random), 0.5 * place(random)});
    return points;
}

Area hull_of(std::vector<Vec2> points) {
    return aplomb::convex_hull(points.data(), static_cast<int>(points.size()));
}

double size_of(const Area& area) {
    double twice = 0;
    for (int i = 0; i < area.count; ++i)
        twice += cross(area.corner[i], area.corner[(i + 1) % area.count]);
    return twice / 2;
}

double to_segment(const Vec2& a, const Vec2& b, const Vec2& p) {
    double best = 1e300;
    for (int i = 0; i <= 2000; ++i)
        best = std::min(best, norm(a + (b - a) * (i / 2000.0) - p));
    return best;
}

/// The vertices of {n.p + r <= offset}, by trying all triples of edges.
double widest_circle(const Area& area) {
    double best = 0;
    const auto row = [&](int i) { return area.normal[i]; };
    for (int i = 0; i < area.edge_count; ++i) {
        for (int j = 0; j < i; ++j) {
            for (int k = 0; k < j; ++k) {
                const Vec2 u = row(j) - row(i), v = row(k) - row(i);
                if (std::fabs(cross(u, v)) < 1e-12) continue;
                const double bu = area.offset[j] - area.offset[i], bv = area.offset[k] - area.offset[i];
                const Vec2 p = {(bu * v.left - bv * u.left) / cross(u, v),
                                (u.fore * bv - v.fore * bu) / cross(u, v)};
                const double r = area.offset[i] - dot(row(i), p);
                bool inside = true;
                for (int e = 0; e < area.edge_count; ++e)
                    inside = inside && dot(row(e), p) + r <= area.offset[e] + 1e-12;
                if (inside) best = std::max(best, r);
            }
        }
    }
    return best;
}

// The scene is a public one (pypoman and stabilipy examples of Bretl and Lall 2008); the area and the corners
// were computed for us in two independent ways.
TEST(Area, FlatScene) {
    const Area area = hull_of({{0, .1}, {.25, .1}, {.25, .2}, {0, .2}, {.3, -.1}, {.05, -.1}});
    ASSERT_EQ(area.count, 5);
    EXPECT_NEAR(size_of(area), .0775, 1e-15);
    const Vec2 corners[] = {{0, .1}, {.05, -.1}, {.3, -.1}, {.25, .2}, {0, .2}};
    for (int i = 0; i < 5; ++i) {
        EXPECT_DOUBLE_EQ(area.corner[i].fore, corners[i].fore);
        EXPECT_DOUBLE_EQ(area.corner[i].left, corners[i].left);
    }
}

TEST(Area, HullHoldsAllPointsAndNoMore) {
    std::mt19937 random(1);
    for (int round = 0; round < 200; ++round) {
        const std::vector<Vec2> points = random_points(random, 3 + round % 30);
        const Area area = hull_of(points);
        EXPECT_GT(size_of(area), 0);
        for (int e = 0; e < area.edge_count; ++e) {
            double reach = -1e300;
            for (const Vec2& p : points)
                reach = std::max(reach, dot(area.normal[e], p));
            EXPECT_NEAR(reach, area.offset[e], 1e-12);
            EXPECT_NEAR(norm(area.normal[e]), 1, 1e-12);
        }
        for (int i = 0; i < area.count; ++i) {
            const bool given = std::any_of(points.begin(), points.end(),
                                           [&](const Vec2& p) { return norm(p - area.corner[i]) == 0; });
            EXPECT_TRUE(given);
        }
    }
}

TEST(Area, MarginAgainstSampledEdges) {
    std::mt19937 random(2);
    for (int round = 0; round < 60; ++round) {
        const Area area = hull_of(random_points(random, 8));
        const Vec2 p = random_points(random, 1)[0] * 1.5;
        double nearest = 1e300;
        bool inside = true;
        for (int i = 0; i < area.count; ++i) {
            const Vec2 &a = area.corner[i], &b = area.corner[(i + 1) % area.count];
            nearest = std::min(nearest, to_segment(a, b, p));
            inside = inside && cross(b - a, p - a) >= 0;
        }
        EXPECT_NEAR(margin_of(area, p), inside ? nearest : -nearest, 2e-4);
        EXPECT_NEAR(norm(nearest_point(area, p) - p), inside ? 0 : nearest, 2e-4);
    }
}

TEST(Area, GreatestMarginAgainstAllTriples) {
    std::mt19937 random(3);
    for (int round = 0; round < 300; ++round) {
        const Area area = hull_of(random_points(random, 3 + round % 20));
        EXPECT_NEAR(greatest_margin(area), widest_circle(area), 1e-9);
    }
}

// A long board: the widest circle touches both long edges and may lie anywhere between.
TEST(Area, GreatestMarginOfARectangle) {
    EXPECT_NEAR(greatest_margin(hull_of({{0, 0}, {1, 0}, {1, .2}, {0, .2}})), .1, 1e-12);
}

TEST(Area, LineHasNoBreadth) {
    const Area line = hull_of({{0, 0}, {.1, 0}, {.3, 0}});
    ASSERT_EQ(line.count, 2);
    EXPECT_NEAR(margin_of(line, {.1, 0}), 0, 1e-15);
    EXPECT_NEAR(margin_of(line, {.1, .05}), -.05, 1e-15);
    EXPECT_NEAR(margin_of(line, {.7, .3}), -.5, 1e-15);
    EXPECT_EQ(greatest_margin(line), 0);
}

TEST(Area, PointIsAsFarAsItIs) {
    const Area point = hull_of({{.1, .2}, {.1, .2}});
    ASSERT_EQ(point.count, 1);
    EXPECT_NEAR(margin_of(point, {.4, .6}), -.5, 1e-15);
    EXPECT_NEAR(margin_of(point, {.1, .2}), 0, 1e-15);
}

// Past the greatest number of corners the area errs on the small side.
TEST(Area, ManyCornersStayInside) {
    std::vector<Vec2> circle;
    for (int i = 0; i < 256; ++i)
        circle.push_back({std::cos(i * M_PI / 128), std::sin(i * M_PI / 128)});
    const Area area = hull_of(circle);
    EXPECT_EQ(area.count, aplomb::max_corners);
    for (int i = 0; i < area.count; ++i)
        EXPECT_NEAR(norm(area.corner[i]), 1, 1e-12);
    EXPECT_GT(size_of(area), 3.0);
    EXPECT_LT(size_of(area), M_PI);
}

} // namespace
