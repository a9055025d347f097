// SPDX-License-Identifier: MIT
// Skins, limits and hierarchies that a figure cannot be made of.
#include <gtest/gtest.h>

#include <functional>
#include <limits>

#include "figures.h"
#include "hostile/told.h"

namespace hostile {
namespace {

constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
constexpr double infinite = std::numeric_limits<double>::infinity();

/// The adult with a skin of one triangle, all of it open to be spoilt.
struct Bench {
    lay::LayFigure figure = lay::LayFigure::adult();
    std::vector<double> positions = {0, 0, 0, 1, 0, 0, 0, 1, 0},
                        weights = {1, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0};
    std::vector<int32_t> joints = {0, -1, -1, -1, 0, -1, -1, -1, 0, -1, -1, -1}, triangles = {0, 1, 2};
    std::vector<double> limits = std::vector<double>(132, unknown), rotations;
    aplomb_skin skin{3, 1, positions.data(), joints.data(), weights.data(), triangles.data()};
    aplomb_figure_desc desc;

    Bench() {
        for (int i = 0; i < 22; ++i)
            rotations.insert(rotations.end(), {0, 0, 0, 1});
        desc = figure.desc();
        desc.skin = &skin, desc.limits = limits.data(), desc.rotations = rotations.data();
    }
};

struct Case {
    const char* told;
    std::function<void(Bench&)> spoil;
};

const Case cases[] = {
    {"made", [](Bench&) {}},
    {"bad argument: skin.vertex_count is 0; it must be 1 to 67108864.",
     [](Bench& b) { b.skin.vertex_count = 0; }},
    {"bad argument: skin.vertex_count is 2147483647; it must be 1 to 67108864.",
     [](Bench& b) { b.skin.vertex_count = 2147483647; }},
    {"bad argument: skin.triangle_count is -1; it must be 0 to 67108864.",
     [](Bench& b) { b.skin.triangle_count = -1; }},
    {"bad argument: skin.positions is NULL.", [](Bench& b) { b.skin.positions = nullptr; }},
    {"bad argument: skin.triangles is NULL.", [](Bench& b) { b.skin.triangles = nullptr; }},
    {"bad argument: skin.positions of vertex 1: component 1 is inf, not a finite number.",
     [](Bench& b) { b.positions[4] = infinite; }},
    {"bad argument: skin.joints of vertex 1: component 1 is 22; it must be -1 to 21.",
     [](Bench& b) { b.joints[5] = 22; }},
    {"bad argument: skin.joints of vertex 1: component 1 is -2; it must be -1 to 21.",
     [](Bench& b) { b.joints[5] = -2; }},
    {"bad argument: skin.weights of vertex 2 sum to 0.5, not to 1.", [](Bench& b) { b.weights[8] = 0.5; }},
    {"bad argument: skin.weights of vertex 2: component 0 is nan; it must be 0 or more.",
     [](Bench& b) { b.weights[8] = unknown; }},
    {"bad argument: skin.weights of vertex 2: component 0 is -1; it must be 0 or more.",
     [](Bench& b) { b.weights[8] = -1; }},
    {"bad argument: skin.weights of vertex 2: component 1 is 0.1, but its joint is -1.",
     [](Bench& b) { b.weights[9] = 0.1; }},
    {"bad argument: skin.triangles 0: corner 2 is 3; it must be 0 to 2.",
     [](Bench& b) { b.triangles[2] = 3; }},
    {"bad figure: limits of joint 0 (hips), bend forward: the lowest, inf, is above the highest, -inf.",
     [](Bench& b) { b.limits[0] = infinite, b.limits[1] = -infinite; }},
    {"bad argument: rotations of joint 1 (spine_1): the quaternion has length 1.001, not 1.",
     [](Bench& b) { b.rotations[7] = 1.001; }},
    {"made",
     [](Bench& b) {
         b.figure.names.assign(22, "thing"), b.figure.give_roles = false, b.desc = b.figure.desc();
     }},
    {"made", [](Bench& b) { b.desc.joint_count = 10; }},
    {"bad figure: All 22 joints lie at one point; give the translations from parent to joint.",
     [](Bench& b) {
         static const double none[66] = {};
         b.desc.translations = none, b.desc.tips = nullptr;
     }},
};

TEST(HostileFigure, Descriptions) {
    for (const Case& c : cases) {
        Bench bench;
        c.spoil(bench);
        aplomb_figure* figure = nullptr;
        aplomb_error error{};
        const aplomb_status status = aplomb_figure_create(&bench.desc, nullptr, &figure, &error);
        EXPECT_EQ(status == APLOMB_OK ? "made" : told(status, error), c.told);
        EXPECT_EQ(figure != nullptr, status == APLOMB_OK);
        aplomb_figure_destroy(figure);
    }
}

} // namespace
} // namespace hostile
