// SPDX-License-Identifier: MIT
// With two bearing feet a load takes home towards even shares; without one, home stays.
#include <gtest/gtest.h>

#include <cmath>

#include "poses.h"

namespace {

/// Home of the adult on soft knees, the left foot this far ahead, under a box in front.
aplomb_result balanced(double ahead, double mass, double heft = 1) {
    lay::LayFigure shape = lay::LayFigure::adult();
    const lay::FigureHandle figure = shape.create();
    lay::Pose pose(figure.get(), shape);
    pose.soft_knees(20);
    const lay::Point foot = shape.position(shape.find("left_foot"));
    pose.stand_on("left", {foot.x, foot.y, foot.z + ahead});
    aplomb_solver* solver = nullptr;
    EXPECT_EQ(aplomb_solver_create(figure.get(), nullptr, &solver, nullptr), APLOMB_OK);
    aplomb_load load = aplomb_load_make(mass, shape.find("spine_3"));
    load.offset[2] = .35;
    aplomb_situation s = pose.situation();
    s.loads = &load, s.load_count = 1;
    aplomb_options options;
    aplomb_options_init(&options, sizeof options);
    options.heft = heft;
    aplomb_result result;
    aplomb_result_init(&result, sizeof result);
    EXPECT_GE(aplomb_balance(solver, &s, &options, pose.translations.data(), pose.rotations.data(), &result,
                             nullptr),
              0);
    aplomb_solver_destroy(solver);
    return result;
}

TEST(EvenHome, AFootAheadTakesHomeForwardUnderALoad) {
    const double unloaded = balanced(.2, 0).home[2];
    double last = unloaded;
    for (const double mass : {5., 20., 45.}) {
        const double home = balanced(.2, mass).home[2];
        EXPECT_GT(home, last + .001) << mass;
        last = home;
    }
    EXPECT_LT(last, unloaded + .1); // never past the line midway between the soles
}

TEST(EvenHome, WithoutHeftItStays) {
    EXPECT_EQ(balanced(.2, 45, 0).home[2], balanced(.2, 0, 0).home[2]);
}

TEST(EvenHome, ParallelFeetKeepIt) {
    EXPECT_NEAR(balanced(0, 45).home[2], balanced(0, 0).home[2], 1e-6);
}

} // namespace
