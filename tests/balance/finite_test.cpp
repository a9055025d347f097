// SPDX-License-Identifier: MIT
// A keyed limb that has shrunk to nothing leaves rows and turns that are no numbers: they count as violated, the keyed
// pose stays, and every number that is told is one.
#include <gtest/gtest.h>

#include "balance/carries.h"
#include "balance/inside.h"
#include "capi/step_state.h"

namespace {

using namespace own;

/// Numbers of a result, but for the cost of a second start, which there may not be.
std::vector<double> numbers_of(const aplomb_result& r) {
    std::vector<double> all = {r.objective,    r.slack,           r.violation,
                               r.stationarity, r.complementarity, r.margin_before,
                               r.margin_after, r.margin_asked,    r.trust};
    for (const double* three :
         {r.home, r.rest_point, r.moved, r.moved_by[0], r.moved_by[1], r.moved_by[2], r.moved_by[3],
          r.moved_by[4], r.controls.hips_shift, r.controls.hips_turn, r.controls.chest, r.controls.neck})
        all.insert(all.end(), three, three + 3);
    return all;
}

bool all_finite(const std::vector<double>& values) {
    return std::all_of(values.begin(), values.end(), [](double v) { return std::isfinite(v); });
}

Moment with_shrunk(const Character& c, const std::vector<std::string>& joints, double length,
                   aplomb_hold hold) {
    Moment m(stand(c));
    for (const std::string& name : joints) {
        double* t = &m.translations[3 * static_cast<size_t>(c.find(name))];
        t[0] = 0, t[1] = -length, t[2] = 0;
    }
    m.contacts = {aplomb_contact_make(c.limb("left_foot"), hold),
                  aplomb_contact_make(c.limb("right_foot"), APLOMB_BEARING)};
    m.loads = {load_on(c, "left_hand", .25, 0, 0, .3)};
    return m;
}

TEST(Finite, AShrunkLimbWritesNothingButNumbers) {
    const Character c(lay::LayFigure::adult());
    for (const aplomb_hold hold : {APLOMB_BEARING, APLOMB_HELD}) {
        for (const auto& joints : std::vector<std::vector<std::string>>{
                 {"left_shank"}, {"left_foot"}, {"left_shank", "left_foot"}}) {
            for (const double length : {0.0, 1e-320, 1e-160, 1e-12}) {
                SCOPED_TRACE(joints.front() + " " + std::to_string(joints.size()) + ", hold " +
                             std::to_string(hold) + ", length " + std::to_string(length));
                const Answer a = balance(c, with_shrunk(c, joints, length, hold));
                if (a.status < 0) continue;
                EXPECT_TRUE(all_finite(a.translations));
                EXPECT_TRUE(all_finite(a.rotations));
                EXPECT_TRUE(all_finite(numbers_of(a.result)));
            }
        }
    }
}

TEST(Finite, WhatIsNoNumberCountsAsViolated) {
    const Character c(lay::LayFigure::adult());
    const Inside sound(c, with_shrunk(c, {}, 0, APLOMB_BEARING));
    const Inside shrunk(c, with_shrunk(c, {"left_foot"}, 0, APLOMB_BEARING));
    for (const Inside* inside : {&sound, &shrunk}) {
        aplomb::Evaluation& e = inside->evaluation();
        std::fill(e.y, e.y + inside->size(), 0.0);
        inside->problem.evaluate(e);
        EXPECT_EQ(inside->problem.hard_violation(e) > 1, inside == &shrunk);
        for (int i = 0; i < inside->problem.row_count(); ++i)
            EXPECT_TRUE(std::isfinite(e.row[i])) << i;
    }
}

TEST(Finite, WhatCannotBeMeasuredStaysAsKeyedAndSaysSo) {
    const Character c(lay::LayFigure::adult());
    const Moment m = with_shrunk(c, {"left_shank"}, 0, APLOMB_HELD);
    const Answer a = balance(c, m);
    EXPECT_EQ(a.status, APLOMB_NOT_CONVERGED);
    EXPECT_EQ(a.translations, m.translations);
    EXPECT_EQ(a.rotations, m.rotations);
    EXPECT_EQ(a.result.changed, 0);
}

TEST(Finite, AStepRemembersNumbersAlone) {
    const Character c(lay::LayFigure::adult());
    const Moment m = with_shrunk(c, {"left_shank"}, 0, APLOMB_HELD);
    const SolverHandle solver = make_solver(c.figure.get());
    const aplomb_situation situation = m.situation();
    aplomb_frame frame;
    aplomb_frame_init(&frame, sizeof frame);
    frame.seconds = 0.04;
    aplomb_step_state state{};
    std::vector<double> translations(m.translations), rotations(m.rotations);
    for (int i = 0; i < 3; ++i) {
        EXPECT_GE(aplomb_step(solver.get(), &state, &situation, &m.options, nullptr, &frame,
                              translations.data(), rotations.data(), nullptr, nullptr),
                  0);
        EXPECT_TRUE(all_finite(rotations));
        aplomb::StepMemory memory;
        ASSERT_EQ(aplomb::recall(state.figure, state, memory, nullptr), APLOMB_OK); // all of it is checked
    }
}

} // namespace
