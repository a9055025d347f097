// SPDX-License-Identifier: MIT
// What is not finite, or further away than a verdict can mean, is refused by name: never taken as in balance.
#include <gtest/gtest.h>

#include <cmath>

#include "reading/scene.h"
#include "support/area.h"

namespace {

using namespace lay;

/// Gravity of 1 g whose part against the ground's normal is `part`; `along` is an axis on the ground.
Scene sloping(double part, int along) {
    Scene scene;
    const double level = 9.81 * std::sqrt(1 - part * part);
    scene.situation.gravity[along] = level, scene.situation.gravity[1] = -9.81 * part;
    scene.fill();
    return scene;
}

TEST(Finite, GravityNearTheGroundsPlaneIsNoSupport) {
    for (const double part : {9.99e-4, 1e-5, 1e-12, 1e-318}) {
        for (const int along : {0, 2}) {
            Scene scene = sloping(part, along);
            aplomb_reading reading;
            aplomb_error error{};
            EXPECT_EQ(scene.try_read(reading, &error), APLOMB_NO_SUPPORT) << part;
            EXPECT_STREQ(error.field, "gravity");
            EXPECT_NE(std::string(error.message).find("gravity hardly presses the figure to the ground"),
                      std::string::npos)
                << error.message;
            std::vector<double> translations(scene.translations.size(), 7),
                rotations(scene.rotations.size(), 7);
            EXPECT_EQ(aplomb_balance(scene.solver.get(), &scene.situation, nullptr, translations.data(),
                                     rotations.data(), nullptr, &error),
                      APLOMB_NO_SUPPORT);
            EXPECT_EQ(translations, std::vector<double>(translations.size(), 7)) << "written";
            EXPECT_EQ(rotations, std::vector<double>(rotations.size(), 7)) << "written";
        }
    }
    aplomb_reading reading;
    Scene scene = sloping(0.01, 0); // leans far over, and is told so
    EXPECT_EQ(scene.try_read(reading), APLOMB_OK);
    EXPECT_EQ(reading.in_balance, 0);
}

TEST(Finite, VectorsWithoutASquareAreNone) {
    Scene still, tiny;
    tiny.situation.gravity[0] = 1e-160, tiny.situation.ground_normal[2] = 1e-155;
    EXPECT_EQ(still.read().margin, tiny.read().margin);
}

TEST(Finite, NoLengthOverAKilometreIsAVerdict) {
    aplomb_reading reading;
    aplomb_error error{};
    Scene pulled;
    aplomb_pull pull{};
    pull.joint = pulled.lay.find("spine_3");
    pull.force[0] = 1e7; // the balance point goes twenty kilometres aside
    pulled.pulls.push_back(pull);
    EXPECT_EQ(pulled.try_read(reading, &error), APLOMB_NO_SUPPORT);
    EXPECT_STREQ(error.field, "pulls");

    const std::vector<double> far = {0, 0, 0, 0, 0, 2000, 5, 0, 0};
    Scene apart;
    apart.patch(far);
    EXPECT_EQ(apart.try_read(reading, &error), APLOMB_NO_SUPPORT);
    EXPECT_STREQ(error.message,
                 "The contact of joint 0 (hips) has a point that is not within 500 m of the hips along "
                 "the ground; is the figure's unit right?");
    EXPECT_EQ(error.index, 0);

    LayFigure giant = LayFigure::adult(); // millimetres of micrometres
    for (double& v : giant.translations)
        v *= 1e4;
    EXPECT_EQ(Scene(giant).try_read(reading, &error), APLOMB_NO_SUPPORT);
}

TEST(Finite, ACorrectedPoseTooFarAwayIsNotRead) {
    Scene scene;
    scene.fill();
    std::vector<double> translations(scene.translations), rotations(scene.rotations);
    translations[0] += 5000;
    aplomb_result result;
    aplomb_result_init(&result, sizeof result);
    aplomb_reading reading;
    aplomb_reading_init(&reading, sizeof reading);
    EXPECT_EQ(aplomb_read_corrected(scene.solver.get(), &scene.situation, nullptr, translations.data(),
                                    rotations.data(), &result, &reading, nullptr),
              APLOMB_NO_SUPPORT);
}

/// Corners that differ by less than a number whose square is known have no edge between them.
TEST(Finite, AnAreaOfNearlyOnePointHasEdges) {
    aplomb::Vec2 points[3] = {{0, 0}, {1e-200, 5}, {2e-200, 0}};
    const aplomb::Area area = aplomb::convex_hull(points, 3);
    EXPECT_TRUE(std::isfinite(aplomb::margin_of(area, {0.5, 0.25})));
    EXPECT_LT(aplomb::margin_of(area, {0.5, 0.25}), 0);
}

} // namespace
