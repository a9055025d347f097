// SPDX-License-Identifier: MIT
// Silhouettes of made shapes against their areas by hand.
#include "report/silhouette.h"

#include <gtest/gtest.h>

#include <cmath>

#include "report/tessellate.h"

namespace {

using namespace aplomb;
using namespace aplomb::report;

constexpr double scale = 100; // page units per metre

/// Seen from the front, one metre of the world being `scale` units of the page.
DepthImage look_at(const std::vector<Form>& forms, double step = 0.25) {
    const Placement placement{{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}, {200, 200}, scale};
    const Surface surface = tessellate(forms);
    std::vector<Corner> corners;
    for (const Vec3& p : surface.points)
        corners.push_back({placement.at(p), -placement.ahead(p)});
    DepthImage image({0, 400, 0, 400}, step);
    image.add(corners, surface.triangles.data(), surface.triangles.size() / 3);
    return image;
}
double area(const Mask& mask) {
    return enclosed_area(outlines_of(mask)) / scale / scale;
}

Form ball(const Vec3& centre, double radius) {
    return {Material::body, {{sphere(centre, radius)}}};
}
Form block(const Vec3& centre, const Vec3& half) {
    Hull hull;
    for (int corner = 0; corner < 8; ++corner)
        hull.push_back(sphere(centre + Vec3{corner & 1 ? half.x : -half.x, corner & 2 ? half.y : -half.y,
                                            corner & 4 ? half.z : -half.z},
                              1e-6));
    return {Material::body, {hull}};
}

TEST(Silhouette, BallAndBlockHaveTheirAreas) {
    // The ball is a polyhedron of 48 meridians: half a per cent smaller than the round one.
    EXPECT_NEAR(area(look_at({ball({}, 1)}).mask()), pi, 0.012 * pi);
    EXPECT_NEAR(area(look_at({block({}, {0.8, 0.5, 0.3})}).mask()), 1.6, 0.005 * 1.6);
}

TEST(Silhouette, AreaDoesNotHangOnTheStep) {
    const double fine = area(look_at({ball({}, 1)}, 0.2).mask()),
                 coarse = area(look_at({ball({}, 1)}, 1).mask());
    EXPECT_NEAR(fine, coarse, 0.01 * fine);
}

TEST(Silhouette, OverlapCountsOnce) {
    const Strokes outlines = outlines_of(
        look_at({block({-0.3, 0, 0}, {0.5, 0.5, 0.1}), block({0.3, 0, 0.5}, {0.5, 0.5, 0.1})}).mask());
    EXPECT_EQ(outlines.size(), 1u);
    EXPECT_NEAR(enclosed_area(outlines) / scale / scale, 1.6, 0.01);
}

TEST(Silhouette, PartsApartAreTwoOutlines) {
    EXPECT_EQ(outlines_of(look_at({ball({-1, 0, 0}, 0.3), ball({1, 0, 0}, 0.3)}).mask()).size(), 2u);
}

TEST(Silhouette, AHoleIsLeftOpen) {
    // A frame of four bars, one metre and a half across, with a window of one metre.
    const Strokes outlines = outlines_of(
        look_at({block({0, 0.625, 0}, {0.75, 0.125, 0.1}), block({0, -0.625, 0}, {0.75, 0.125, 0.1}),
                 block({0.625, 0, 0}, {0.125, 0.75, 0.1}), block({-0.625, 0, 0}, {0.125, 0.75, 0.1})})
            .mask());
    ASSERT_EQ(outlines.size(), 2u);
    EXPECT_NEAR(enclosed_area(outlines) / scale / scale, 1.5 * 1.5 - 1, 0.02);
}

TEST(Silhouette, OutlinesAreCompact) {
    const Strokes outlines = outlines_of(look_at({block({}, {0.8, 0.5, 0.3})}).mask());
    ASSERT_EQ(outlines.size(), 1u);
    EXPECT_LE(outlines[0].size(), 20u);                                    // four corners, each cut a little
    EXPECT_LE(outlines_of(look_at({ball({}, 1)}).mask())[0].size(), 200u); // of 2500 crossings
}

TEST(Silhouette, ALineRunsWhereOnePartStandsInFrontOfAnother) {
    // An arm of 10 cm before a chest: its two edges show, those of an arm lying on it do not.
    const auto lines = [](double distance) {
        const DepthImage image =
            look_at({block({}, {0.8, 0.5, 0.1}), block({0, 0, 0.11 + distance}, {0.05, 0.8, 0.01})});
        return depth_lines(image, image.mask(), 0.03, 5);
    };
    const Strokes seen = lines(0.2);
    double length = 0;
    for (const auto& line : seen)
        for (size_t i = 1; i < line.size(); ++i)
            length += std::hypot(line[i].x - line[i - 1].x, line[i].y - line[i - 1].y);
    EXPECT_NEAR(length / scale, 2 * 1.0, 0.05);
    EXPECT_TRUE(lines(0.0).empty());
}

TEST(Silhouette, WhatStandsInFrontIsTold) {
    const DepthImage body = look_at({block({}, {0.5, 0.5, 0.1})});
    const DepthImage near = look_at({block({0, 0, 0.5}, {0.2, 0.2, 0.1})});
    const DepthImage far = look_at({block({0, 0, -0.5}, {0.2, 0.2, 0.1})});
    EXPECT_TRUE(outlines_of(in_front(body, near)).empty());
    EXPECT_NEAR(area(in_front(body, far)), 0.16, 0.02);
    EXPECT_NEAR(area(not_behind(body, near)), 1 - 0.16, 0.01);
    EXPECT_NEAR(area(not_behind(body, far)), 1, 0.01);
}

TEST(Silhouette, NothingBehindTheCameraIsDrawn) {
    DepthImage image({0, 10, 0, 10}, 0.5);
    const int32_t triangle[] = {0, 1, 2};
    image.add({{{1, 1}, 0, true}, {{9, 1}, 0, true}, {{5, 9}, 0, false}}, triangle, 1);
    EXPECT_TRUE(outlines_of(image.mask()).empty());
    image.add({{{1, 1}, 0}, {{9, 1}, 0}, {{5, 9}, 0}}, triangle, 1);
    EXPECT_EQ(outlines_of(image.mask()).size(), 1u);
}

TEST(Placement, PerspectiveHalvesWithTheDistance) {
    Placement camera{{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}, {100, 50}, 200, true, {0, 1, 4}};
    const Point near = camera.at({0.5, 1, 2}), far = camera.at({0.5, 1, 0});
    EXPECT_NEAR(near.x, 100 + 200 * 0.5 / 2, 1e-9);
    EXPECT_NEAR(far.x, 100 + 200 * 0.5 / 4, 1e-9);
    EXPECT_NEAR(near.y, 50, 1e-9);
    EXPECT_FALSE(camera.visible({0, 0, 5}));
}

} // namespace
