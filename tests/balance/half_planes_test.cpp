// SPDX-License-Identifier: MIT
// A solver keeps the balance point to half-planes that are no polygon's edges.
#include <gtest/gtest.h>

#include "balance/carries.h"
#include "balance/inside.h"

namespace own {
namespace {

aplomb::Vec2 solved(Inside& inside, const aplomb::HalfPlanes& planes) {
    aplomb::Workbench& bench = inside.solver->bench;
    aplomb::PoseProblem problem(
        {inside.options, inside.figure, inside.model, inside.stiffness, inside.carriage, inside.aim}, planes,
        bench.rows, bench.wrench);
    problem.find_start(bench.evaluation[0]);
    double start[aplomb::max_variables];
    problem.start(start);
    aplomb::Answer answer;
    answer.at = &bench.evaluation[0];
    bench.descent.begin(&bench.evaluation[2]);
    bench.descent.run(problem, {true, 200}, start, answer);
    EXPECT_EQ(answer.ending, aplomb::Ending::converged);
    EXPECT_LT(problem.support_violation(*answer.at), 1e-9);
    return aplomb::whole(*answer.at).state.balance_point;
}

TEST(HalfPlanes, OneOrTwoOfThemHoldTheBalancePoint) {
    const Character c(lay::LayFigure::adult());
    Inside inside(c, Moment(stand(c)));
    const aplomb::Vec2 keyed = inside.key.balance_point;
    aplomb::HalfPlanes planes;
    const aplomb::Vec2 free = solved(inside, planes);
    EXPECT_NEAR(norm(free - keyed), 0, 1e-6);

    planes.count = 1;
    planes.normal[0] = {.6, -.8}, planes.bound[0] = dot(planes.normal[0], keyed) - .02;
    const aplomb::Vec2 behind = solved(inside, planes);
    EXPECT_NEAR(dot(planes.normal[0], behind), planes.bound[0], 1e-9);
    EXPECT_LT(norm(behind - keyed), .025);

    planes.count = 2; // a wedge that is open to one side
    planes.normal[1] = {.6, .8}, planes.bound[1] = dot(planes.normal[1], keyed) - .02;
    const aplomb::Vec2 wedged = solved(inside, planes);
    for (int k = 0; k < 2; ++k)
        EXPECT_NEAR(dot(planes.normal[k], wedged), planes.bound[k], 1e-9);
}

} // namespace
} // namespace own
