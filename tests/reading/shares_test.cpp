// SPDX-License-Identifier: MIT
// Shares of the weight: textbook boards and beams, optimality of the even forces, exact ranges.
#include "reading/shares.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

namespace {

using namespace aplomb;

std::vector<double> forces_at(const std::vector<BearingPoint>& points, const Vec2& p) {
    std::vector<double> forces(points.size());
    even_forces(points.data(), static_cast<int>(points.size()), p, forces.data());
    return forces;
}

Area hull_of(std::vector<Vec2> points) {
    return convex_hull(points.data(), static_cast<int>(points.size()));
}

/// What the second of two supports bears, `length` apart, under a weight `along` from the first.
double second_of_two(double length, double along) {
    const std::vector<double> f = forces_at({{{0, 0}, 1}, {{length, 0}, 1}}, {along, 0});
    EXPECT_NEAR(f[0] + f[1], 1, 1e-12);
    const ShareRange range = share_range(hull_of({{length, 0}}), hull_of({{0, 0}}), {along, 0});
    EXPECT_NEAR(range.lowest, f[1], 1e-9); // two supports leave nothing open
    EXPECT_NEAR(range.highest, f[1], 1e-9);
    return f[1];
}

constexpr double openstax_gravity = 9.80;

// OpenStax College Physics, chapter 9: carrying a pole, hands .900 m apart, 5.00 kg at .600 m from the left.
TEST(Shares, OpenStaxPole) {
    const double right = second_of_two(.900, .600) * 5.00 * openstax_gravity;
    EXPECT_NEAR(right, 32.7, .05);
    EXPECT_NEAR(5.00 * openstax_gravity - right, 16.3, .05);
}

// OpenStax College Physics, chapter 9, problems: a bridge of 20 m with 1000 kg at 5 m from one end.
TEST(Shares, OpenStaxBridge) {
    EXPECT_NEAR(second_of_two(20, 5) * 1000 * openstax_gravity, 2450, 1e-6);
}

// OpenStax College Physics, chapter 9, problems: push-up, 50 kg, feet to centre of mass .90 m, to hands 1.50
// m.
TEST(Shares, OpenStaxPushUp) {
    const std::vector<double> f =
        forces_at({{{0, .1}, 1}, {{0, -.1}, 1}, {{1.5, .2}, 1}, {{1.5, -.2}, 1}}, {.9, 0});
    EXPECT_NEAR(f[2] * 50 * openstax_gravity, 147, 1e-6);
    EXPECT_NEAR(f[3] * 50 * openstax_gravity, 147, 1e-6);
    EXPECT_NEAR(f[0] + f[1], .4, 1e-9);
}

// Reaction board, University of Delhi slides: W 52, board alone 10.7, with the subject 31.2, 1.80 m long.
TEST(Shares, ReactionBoard) {
    EXPECT_NEAR(second_of_two(1.80, .7096) * 52, 31.2 - 10.7, 1e-3);
}

// The same slides: a board on three points, W 80, 2.01 m. Three points leave nothing open either.
TEST(Shares, ReactionBoardOnThreePoints) {
    const std::vector<double> f = forces_at({{{0, 0}, 1}, {{2.01, 0}, 1}, {{0, 2.01}, 1}}, {1.0176, .4648});
    EXPECT_NEAR(f[1] * 80, 74 - 33.5, 2e-3);
    EXPECT_NEAR(f[2] * 80, 41 - 22.5, 2e-3);
}

struct Case {
    std::vector<BearingPoint> points;
    Vec2 p;
};

Case random_case(std::mt19937& random, int count, bool at_edge) {
    std::uniform_real_distribution<double> place(-.3, .3), weight(.1, 2);
    Case c;
    std::vector<Vec2> places;
    for (int i = 0; i < count; ++i) {
        c.points.push_back({{place(random), place(random)}, weight(random)});
        places.push_back(c.points.back().place);
    }
    c.p = nearest_point(hull_of(places), Vec2{place(random), place(random)} * (at_edge ? 4.0 : 0.7));
    return c;
}

/// The direction within four forces that changes neither their sum nor their centre.
void circuit(const Vec2* x, double* d) {
    for (int i = 0; i < 4; ++i) {
        const Vec2 a = x[(i + 1) % 4], b = x[(i + 2) % 4], c = x[(i + 3) % 4];
        d[i] = cross(b - a, c - a) * (i % 2 ? -1 : 1);
    }
}

/// Every direction that keeps the balance is a sum of such circuits, so no better one among them means none
/// at all.
double best_descent(const Case& c, const std::vector<double>& f) {
    const int n = static_cast<int>(c.points.size());
    double steepest = 0;
    for (int i = 0; i < n; ++i)
        for (int j = 0; j < i; ++j)
            for (int k = 0; k < j; ++k)
                for (int l = 0; l < k; ++l) {
                    const int index[4] = {i, j, k, l};
                    Vec2 x[4];
                    double d[4];
                    for (int m = 0; m < 4; ++m)
                        x[m] = c.points[static_cast<size_t>(index[m])].place;
                    circuit(x, d);
                    for (const double sign : {1.0, -1.0}) {
                        double slope = 0, length = 0;
                        bool allowed = true;
                        for (int m = 0; m < 4; ++m) {
                            const size_t at = static_cast<size_t>(index[m]);
                            allowed = allowed && (sign * d[m] >= 0 || f[at] > 1e-8);
                            slope += sign * d[m] * f[at] / c.points[at].weight;
                            length += std::fabs(d[m]);
                        }
                        if (allowed && length > 1e-6) steepest = std::min(steepest, slope / length);
                    }
                }
    return steepest;
}

TEST(Shares, EvenForcesBalanceAndNoneAreMoreEven) {
    std::mt19937 random(4);
    for (int round = 0; round < 400; ++round) {
        const Case c = random_case(random, 3 + round % 10, round % 3 == 0);
        const std::vector<double> f = forces_at(c.points, c.p);
        double sum = 0;
        Vec2 centre;
        for (size_t i = 0; i < f.size(); ++i) {
            EXPECT_GE(f[i], 0);
            sum += f[i];
            centre = centre + c.points[i].place * f[i];
        }
        EXPECT_NEAR(sum, 1, 1e-12);
        EXPECT_NEAR(norm(centre - c.p), 0, 1e-9) << "round " << round;
        EXPECT_GT(best_descent(c, f), -1e-6) << "round " << round;
    }
}

TEST(Shares, AtACornerOnePointBearsAll) {
    const std::vector<double> f = forces_at({{{0, 0}, 1}, {{1, 0}, 1}, {{0, 1}, 1}, {{1, 1}, 1}}, {1, 1});
    EXPECT_NEAR(f[3], 1, 1e-12);
}

/// Scans where in `part` its share could act; there the shares that `others` can answer are an interval.
ShareRange scanned(const Area& part, const Area& others, const Vec2& p) {
    ShareRange found = {1, 0};
    const auto from = [&](const Vec2& a) {
        double lowest = 0, highest = 1; // of s with (p - s a) / (1 - s) in `others`
        for (int e = 0; e < others.edge_count; ++e) {
            const double slope = others.offset[e] - dot(others.normal[e], a);
            const double room = others.offset[e] - dot(others.normal[e], p);
            if (slope > 0) highest = std::min(highest, room / slope);
            if (slope < 0) lowest = std::max(lowest, room / slope);
            if (slope == 0 && room < 0) return;
        }
        if (lowest > highest) return;
        found = {std::min(found.lowest, lowest), std::max(found.highest, highest)};
    };
    for (int i = 0; i < part.count; ++i)
        for (int j = 0; j < part.count; ++j)
            for (int u = 0; u <= 60; ++u)
                for (int v = 0; u + v <= 60; ++v)
                    from(part.corner[0] + (part.corner[i] - part.corner[0]) * (u / 60.0) +
                         (part.corner[j] - part.corner[0]) * (v / 60.0));
    if (margin_of(part, p) >= 0) found.highest = 1;
    return found;
}

TEST(Shares, RangeAgainstScan) {
    std::mt19937 random(5);
    std::uniform_real_distribution<double> place(-.15, .15);
    for (int round = 0; round < 60; ++round) {
        std::vector<Vec2> left, right, all;
        for (int i = 0; i < 5; ++i) {
            left.push_back({place(random), .12 + .5 * place(random)});
            right.push_back({place(random), -.12 + .5 * place(random)});
        }
        all = left;
        all.insert(all.end(), right.begin(), right.end());
        const Vec2 p = nearest_point(hull_of(all), {place(random), place(random)});
        const Area part = hull_of(left), others = hull_of(right);
        if (margin_of(hull_of(all), p) < 1e-3) continue; // the scan meets no edge exactly
        const ShareRange exact = share_range(part, others, p), scan = scanned(part, others, p);
        EXPECT_LE(exact.lowest, scan.lowest + 1e-9);
        EXPECT_GE(exact.highest, scan.highest - 1e-9);
        EXPECT_NEAR(exact.lowest, scan.lowest, .01) << "round " << round;
        EXPECT_NEAR(exact.highest, scan.highest, .01) << "round " << round;
    }
}

/// The optimum of the linear programme by trying every three corners.
ShareRange of_every_three(const Area& part, const Area& others, const Vec2& p) {
    std::vector<Vec2> corner(part.corner, part.corner + part.count);
    corner.insert(corner.end(), others.corner, others.corner + others.count);
    ShareRange found = {1, 0};
    for (size_t i = 0; i < corner.size(); ++i)
        for (size_t j = i + 1; j < corner.size(); ++j)
            for (size_t k = j + 1; k < corner.size(); ++k) {
                const Vec2 ab = corner[j] - corner[i], ac = corner[k] - corner[i], ap = p - corner[i];
                const double whole = cross(ab, ac), b = cross(ap, ac) / whole, c = cross(ab, ap) / whole;
                if (!(std::fabs(whole) > 1e-9) || b < 0 || c < 0 || b + c > 1) continue;
                const auto owned = [&](size_t n) { return n < static_cast<size_t>(part.count) ? 1.0 : 0.0; };
                const double share = owned(i) * (1 - b - c) + owned(j) * b + owned(k) * c;
                found = {std::min(found.lowest, share), std::max(found.highest, share)};
            }
    return found;
}

TEST(Shares, RangeIsThatOfEveryThreeCorners) {
    std::mt19937 random(6);
    std::uniform_real_distribution<double> place(-.15, .15);
    for (int round = 0; round < 400; ++round) {
        const double apart = round % 4 == 0 ? .02 : .12; // hulls that overlap, too
        std::vector<Vec2> left, right, all;
        for (int i = 0; i < 2 + round % 7; ++i)
            left.push_back({place(random), apart + .5 * place(random)});
        for (int i = 0; i < 1 + round % 5; ++i)
            right.push_back({place(random), -apart + .5 * place(random)});
        all = left;
        all.insert(all.end(), right.begin(), right.end());
        const Area part = hull_of(left), others = hull_of(right), area = hull_of(all);
        const Vec2 p = {place(random), place(random)};
        if (margin_of(area, p) < 1e-6) continue;
        const ShareRange range = share_range(part, others, p), tried = of_every_three(part, others, p);
        EXPECT_NEAR(range.lowest, tried.lowest, 1e-12) << "round " << round;
        EXPECT_NEAR(range.highest, tried.highest, 1e-12) << "round " << round;
        const ShareRange other = share_range(others, part, p);
        EXPECT_NEAR(range.lowest + other.highest, 1, 1e-12) << "round " << round;
    }
}

/// On the edge that joins two contacts nothing is open.
TEST(Shares, OnTheJoiningEdgeBothAreKnown) {
    const Area part = hull_of({{0, .1}, {.1, .1}, {.12, .14}, {0, .14}});
    const Area others = hull_of({{0, -.1}, {.1, -.1}, {.12, -.14}, {0, -.14}});
    for (const double share : {0.0, 1e-6, .3, .5, 1 - 1e-6, 1.0}) {
        const Vec2 p = Vec2{0, .14} * share + Vec2{0, -.14} * (1 - share);
        // The line x = 0 is an edge of each and of both: .04 of its .28 on either side can be shared at will.
        const ShareRange range = share_range(part, others, p);
        EXPECT_NEAR(range.lowest, std::max(0.0, (p.left + .1) / .24), 1e-9) << share;
        EXPECT_NEAR(range.highest, std::min(1.0, (p.left + .14) / .24), 1e-9) << share;
        const Vec2 q = Vec2{.12, .14} * share + Vec2{.12, -.14} * (1 - share);
        const ShareRange known = share_range(part, others, q);
        EXPECT_NEAR(known.lowest, share, 1e-12) << share;
        EXPECT_NEAR(known.highest, share, 1e-12) << share;
    }
}

TEST(Shares, OneContactBearsAll) {
    const ShareRange range = share_range(hull_of({{0, 0}, {1, 0}, {0, 1}}), hull_of({}), {.2, .2});
    EXPECT_DOUBLE_EQ(range.lowest, 1);
    EXPECT_DOUBLE_EQ(range.highest, 1);
}

} // namespace
