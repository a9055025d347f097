// SPDX-License-Identifier: MIT
// Amounts of hips, spine and neck, where they are cut back, and the gravest status of a crowd (found by tests/sabotage).
#include <gtest/gtest.h>

#include <cmath>

#include "poses.h"

namespace {

/// A standing adult with a box in front of the chest.
struct Carrier {
    explicit Carrier(double mass, double knee_bend = 10)
        : pose(lay::Pose(figure.get(), shape).soft_knees(knee_bend)),
          load(aplomb_load_make(mass, shape.find("spine_3"))), situation(pose.situation()) {
        load.offset[2] = 0.35;
        situation.loads = &load, situation.load_count = 1;
        aplomb_options_init(&options, sizeof options);
        aplomb_solver_create(figure.get(), nullptr, &solver, nullptr);
    }
    ~Carrier() { aplomb_solver_destroy(solver); }
    Carrier(const Carrier&) = delete;
    Carrier& operator=(const Carrier&) = delete;

    aplomb_result balance() {
        aplomb_result result;
        aplomb_result_init(&result, sizeof result);
        out.translations = pose.translations, out.rotations = pose.rotations;
        EXPECT_GE(aplomb_balance(solver, &situation, &options, out.translations.data(), out.rotations.data(),
                                 &result, nullptr),
                  0);
        return result;
    }

    lay::LayFigure shape = lay::LayFigure::adult();
    lay::FigureHandle figure = shape.create();
    lay::Pose pose, out = pose;
    aplomb_load load;
    aplomb_situation situation;
    aplomb_options options;
    aplomb_solver* solver = nullptr;
};

TEST(Amounts, HipsHaveTheirOwn) {
    Carrier carrier(15);
    carrier.options.heft = 0; // hips back, as balance alone asks for
    const aplomb_result full = carrier.balance();
    carrier.options.amount_hips = 0.5;
    const aplomb_result half = carrier.balance();
    ASSERT_GT(std::fabs(full.controls.hips_shift[2]), 0.005);
    EXPECT_NEAR(half.controls.hips_shift[2], 0.5 * full.controls.hips_shift[2], 1e-12);
    EXPECT_NEAR(half.controls.hips_turn[0], 0.5 * full.controls.hips_turn[0], 1e-12);
    EXPECT_EQ(half.capped, 0);
}

// Twice the way of straight legs would leave the feet behind.
TEST(Amounts, AreCutBackToWhatTheLimbsReach) {
    Carrier carrier(30, 0);
    carrier.options.heft = 0, carrier.options.knee_bend = 1e-3; // and they are to stay so
    carrier.options.amount = 2;
    const aplomb_result result = carrier.balance();
    EXPECT_EQ(result.capped, 1);
    for (const char* foot : {"left_foot", "right_foot"})
        EXPECT_LT(norm(carrier.out.place(foot) - carrier.pose.place(foot)), 1e-9) << foot;
}

TEST(Crowd, SaysTheGravestOfTheStatusesThatWroteAPose) {
    Carrier light(5), heavy(100);
    heavy.load.offset[2] = 1.5;
    aplomb_job jobs[3] = {};
    Carrier* carriers[3] = {&light, &heavy, &light};
    for (int i = 0; i < 3; ++i) {
        jobs[i].solver = carriers[i]->solver, jobs[i].situation = &carriers[i]->situation;
        jobs[i].translations = carriers[i]->out.translations.data();
        jobs[i].rotations = carriers[i]->out.rotations.data();
    }
    const aplomb_status all = aplomb_balance_many(jobs, 3, nullptr, nullptr, nullptr);
    EXPECT_EQ(jobs[0].status, APLOMB_OK);
    EXPECT_GT(jobs[1].status, APLOMB_OK);
    EXPECT_EQ(all, jobs[1].status);
}

} // namespace
