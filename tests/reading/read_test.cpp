// SPDX-License-Identifier: MIT
// aplomb_read: numbers against independent sums, invariances, scans.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <limits>

#include "scene.h"

namespace {

using namespace lay;

constexpr double gravity = 9.80665;

TEST(Read, NeutralStandsInBalance) {
    const aplomb_reading r = Scene().read();
    EXPECT_TRUE(r.in_balance);
    EXPECT_EQ(r.pressing, 1);
    EXPECT_NEAR(r.body_mass, 75, 1e-9);
    EXPECT_NEAR(r.balance_point[0], 0, 1e-9);
    EXPECT_NEAR(r.balance_point[2], r.centre[2], 1e-9);
    EXPECT_NEAR(r.friction_needed, 0, 1e-12);
    EXPECT_NEAR(r.trunk_fore, 0, 1e-9);
    EXPECT_NEAR(r.trunk_side, 0, 1e-9);
    EXPECT_GE(r.edge_count, 4);
    // .55 to .585 of the stature: de Leva, and Davidovits 1975 with .56.
    EXPECT_GT(r.centre[1] / 1.75, .545);
    EXPECT_LT(r.centre[1] / 1.75, .585);
}

TEST(Read, FeetOfASymmetricalPoseBearAlike) {
    const aplomb_reading r = Scene().read();
    ASSERT_EQ(r.contact_count, 2);
    for (const auto& c : {r.contacts[0], r.contacts[1]}) {
        EXPECT_NEAR(c.share, .5, 1e-9);
        EXPECT_GT(c.place, .2);
        EXPECT_LT(c.place, .6);
        EXPECT_NEAR(c.centre[1], 0, .02);
        EXPECT_LE(c.share_min, c.share);
        EXPECT_GE(c.share_max, c.share);
    }
    // What one can bear the other lacks.
    EXPECT_NEAR(r.contacts[0].share_max, 1 - r.contacts[1].share_min, 1e-9);
}

TEST(Read, SharesMakeUpTheBalancePoint) {
    Scene scene;
    scene.lean_right(9 * degree).bend(5 * degree);
    const aplomb_reading r = scene.read();
    ASSERT_GT(r.margin, 0);
    for (const int axis : {0, 2}) {
        double sum = 0;
        for (int i = 0; i < r.contact_count; ++i)
            sum += r.contacts[i].share * r.contacts[i].centre[axis];
        EXPECT_NEAR(sum, r.balance_point[axis], 1e-9);
    }
}

// The corners of Bretl and Lall's flat scene as patches of one joint.
TEST(Read, FlatSceneOfPatches) {
    Scene scene;
    const double down = -.8;
    const std::vector<double> left = {.1, down, 0, .1, down, .25, .2, down, .25, .2, down, 0};
    const std::vector<double> right = {-.1, down, .3, -.1, down, .05};
    scene.patch(left).patch(right);
    const aplomb_reading r = scene.read();
    ASSERT_EQ(r.edge_count, 5);
    double twice = 0;
    for (int i = 0; i < r.edge_count; ++i) {
        const double *a = r.area[i], *b = r.area[(i + 1) % r.edge_count];
        twice += a[2] * b[0] - a[0] * b[2];
    }
    EXPECT_NEAR(twice / 2, .0775, 1e-12); // counter-clockwise seen from above
}

// OpenStax College Physics, chapter 9, problems: push-up, feet .90 m and hands .60 m from the centre of mass.
TEST(Read, OpenStaxPushUp) {
    Scene scene;
    const aplomb_reading standing = scene.read();
    const double z = standing.body_centre[2] - scene.translations[2], x = standing.body_centre[0];
    const std::vector<double> feet = {x + .1, -.5, z - .9, x - .1, -.5, z - .9};
    const std::vector<double> hand = {x + .2, -.5, z + .6}, other = {x - .2, -.5, z + .6};
    scene.patch(feet).patch(hand).patch(other);
    const aplomb_reading r = scene.read();
    ASSERT_EQ(r.contact_count, 3);
    EXPECT_NEAR(r.contacts[0].share, .4, 1e-9);
    EXPECT_NEAR(r.contacts[1].share * 50 * 9.80, 147, 1e-6);
    EXPECT_NEAR(r.contacts[2].share * 50 * 9.80, 147, 1e-6);
    EXPECT_NEAR(r.contacts[0].share_min, .4, 1e-9);
    EXPECT_NEAR(r.contacts[0].share_max, .4, 1e-9);
}

TEST(Read, LoadMovesTheCentreByItsLever) {
    Scene scene;
    const aplomb_reading before = scene.read();
    scene.load_in_front(20, .4, .1);
    const aplomb_reading r = scene.read();
    EXPECT_NEAR(r.total_mass, 95, 1e-9);
    for (int i = 0; i < 3; ++i)
        EXPECT_NEAR(r.centre[i], (75 * before.centre[i] + 20 * r.load_centre[0][i]) / 95, 1e-12);
    EXPECT_NEAR(r.body_centre[2], before.centre[2], 1e-12);
}

TEST(Read, PullMovesTheBalancePointByItsLever) {
    Scene scene;
    const aplomb_reading before = scene.read();
    aplomb_pull pull{};
    pull.joint = scene.lay.find("spine_3");
    pull.force[2] = 50;
    scene.pulls.push_back(pull);
    const aplomb_reading r = scene.read();
    const double height = scene.lay.position(pull.joint).y - r.area[0][1];
    EXPECT_NEAR(r.balance_point[2] - before.balance_point[2], height * 50 / (75 * gravity), 1e-3 * height);
    EXPECT_NEAR(r.friction_needed, 50 / (75 * gravity), 1e-12);
}

TEST(Read, TipOfTheNeutral) {
    const aplomb_reading r = Scene().read();
    const double height = r.centre[1] - r.edge[0][1];
    EXPECT_NEAR(r.tip_angle, std::atan2(r.margin, height), 1e-9);
    EXPECT_NEAR(r.tip_energy, 75 * gravity * (std::hypot(height, r.margin) - height), 1e-9);
    EXPECT_NEAR(r.tip_direction[1], 0, 1e-12);
}

TEST(Read, PastTheEdge) {
    Scene scene;
    scene.turn("spine_1", 0, 60 * degree).load_in_front(40, .4);
    const aplomb_reading r = scene.read();
    EXPECT_LT(r.margin, 0);
    EXPECT_FALSE(r.in_balance);
    EXPECT_LT(r.tip_angle, 0);
    EXPECT_EQ(r.tip_energy, 0);
    EXPECT_GT(r.tip_direction[2], .7);
    EXPECT_NEAR(r.contacts[0].share + r.contacts[1].share, 1, 1e-9);
    EXPECT_TRUE(says(r, "Out of balance to the front by")) << cues_of(r);
}

TEST(Read, LeanHasItsSigns) {
    EXPECT_NEAR(Scene().turn("spine_1", 0, 20 * degree).read().trunk_fore, 20 * degree, 4 * degree);
    EXPECT_LT(Scene().bend(-10 * degree).read().trunk_fore, -5 * degree);
    EXPECT_GT(Scene().lean_right(10 * degree).read().trunk_side, 5 * degree);
    EXPECT_NEAR(Scene().lean_right(10 * degree).read().trunk_fore, 0, .5 * degree);
}

// A trunk that lies level leans aside by rolling; turned about the upright axis it only looks another way.
TEST(Read, FourLegsLeanByRolling) {
    Scene rolled(LayFigure::quadruped()), yawed(LayFigure::quadruped());
    rolled.turn("spine_1", 2, 10 * degree);
    yawed.turn("spine_1", 1, 10 * degree);
    EXPECT_NEAR(rolled.read().trunk_side, 10 * degree, .5 * degree);
    EXPECT_NEAR(yawed.read().trunk_side, 0, 1 * degree);
}

TEST(Read, LineOfActionStartsAtTheBearingAnkle) {
    Scene scene;
    scene.lift_foot("right");
    const aplomb_reading r = scene.read();
    ASSERT_EQ(r.contact_count, 1);
    const lay::Point ankle = scene.lay.position(scene.lay.find("left_foot"));
    EXPECT_NEAR(r.line_of_action[0][0], ankle.x, .01);
    EXPECT_NEAR(r.line_of_action[0][1], ankle.y, .01);
    for (int i = 1; i < 5; ++i)
        EXPECT_GT(r.line_of_action[i][1], r.line_of_action[i - 1][1]);
}

void expect_same_scalars(const aplomb_reading& a, const aplomb_reading& b, double scale, double tolerance) {
    EXPECT_NEAR(a.margin * scale, b.margin, tolerance * scale);
    EXPECT_NEAR(a.margin_asked * scale, b.margin_asked, tolerance * scale);
    EXPECT_NEAR(a.tip_angle, b.tip_angle, tolerance);
    EXPECT_NEAR(a.tip_energy, b.tip_energy, 1e3 * tolerance);
    EXPECT_NEAR(a.trunk_fore, b.trunk_fore, tolerance);
    EXPECT_NEAR(a.trunk_side, b.trunk_side, tolerance);
    ASSERT_EQ(a.contact_count, b.contact_count);
    for (int i = 0; i < a.contact_count; ++i) {
        EXPECT_NEAR(a.contacts[i].share, b.contacts[i].share, 1e3 * tolerance);
        EXPECT_NEAR(a.contacts[i].share_max, b.contacts[i].share_max, 1e3 * tolerance);
        EXPECT_NEAR(a.contacts[i].place, b.contacts[i].place, 1e3 * tolerance);
    }
    ASSERT_EQ(a.load_count, b.load_count);
    for (int i = 0; i < a.load_count; ++i) {
        EXPECT_NEAR(a.loads[i].stands_max, b.loads[i].stands_max, 1e4 * tolerance);
        EXPECT_NEAR(a.loads[i].natural, b.loads[i].natural, 1e4 * tolerance);
    }
    ASSERT_EQ(a.cue_count, b.cue_count);
    for (int i = 0; i < a.cue_count; ++i)
        EXPECT_STREQ(a.cues[i].text, b.cues[i].text);
}

Scene carrying() {
    Scene scene;
    scene.bend(-8 * degree).lean_right(3 * degree).load_in_front(12, .45);
    return scene;
}

TEST(Read, TenKilometresAwayReadsTheSame) {
    Scene near = carrying(), far = carrying();
    far.translations[0] += 1e4;
    far.translations[2] -= 1e4;
    const aplomb_reading a = near.read(), b = far.read();
    expect_same_scalars(a, b, 1, 1e-9);
    EXPECT_NEAR(b.centre[0] - 1e4, a.centre[0], 1e-9);
}

// The whole scene turned, gravity and ground with it: nothing that is seen from the figure changes.
TEST(Read, TurnedWithGravityReadsTheSame) {
    Scene upright = carrying(), turned = carrying();
    const double angle = 25 * degree;
    turned.turn("hips", 0, angle);
    for (double* v : {turned.situation.gravity, turned.situation.ground_normal}) {
        v[1] = std::cos(angle), v[2] = std::sin(angle);
    }
    for (double& v : turned.situation.gravity)
        v *= -gravity;
    upright.contact("left_foot", APLOMB_BEARING).contact("right_foot", APLOMB_BEARING);
    turned.contact("left_foot", APLOMB_BEARING).contact("right_foot", APLOMB_BEARING);
    expect_same_scalars(upright.read(), turned.read(), 1, 1e-9);
}

TEST(Read, TiltedGravityMovesTheBalancePoint) {
    Scene scene;
    const aplomb_reading before = scene.read();
    const double tilt = 3 * degree;
    scene.situation.gravity[1] = -gravity * std::cos(tilt);
    scene.situation.gravity[2] = gravity * std::sin(tilt);
    const aplomb_reading r = scene.read();
    const double height = r.centre[1] - r.edge[0][1];
    EXPECT_NEAR(r.balance_point[2] - before.balance_point[2], height * std::tan(tilt), 1e-12);
    EXPECT_NEAR(r.friction_needed, std::tan(tilt), 1e-12);
    EXPECT_NEAR(r.trunk_fore - before.trunk_fore, tilt, 1e-9); // ahead of the plumb line
}

TEST(Read, SidewaysPullAndGravity) {
    Scene pulled, tilted;
    const aplomb_reading before = pulled.read();
    aplomb_pull pull{};
    pull.joint = pulled.lay.find("spine_3");
    pull.force[0] = -30;
    pulled.pulls.push_back(pull);
    const double height = pulled.lay.position(pull.joint).y - before.area[0][1];
    EXPECT_NEAR(pulled.read().balance_point[0], -height * 30 / (75 * gravity), 1e-4);

    const double tilt = 2 * degree;
    tilted.situation.gravity[0] = gravity * std::sin(tilt);
    tilted.situation.gravity[1] = -gravity * std::cos(tilt);
    EXPECT_NEAR(tilted.read().balance_point[0], (before.centre[1] - before.edge[0][1]) * std::tan(tilt),
                1e-12);
}

// Centimetres and Z up, as many hosts have it.
TEST(Read, HostUnitsAndAxes) {
    Scene metres = carrying();
    LayFigure lay = LayFigure::adult();
    for (auto* values : {&lay.translations, &lay.tips}) {
        for (size_t i = 0; i < values->size(); i += 3) {
            double* v = &(*values)[i];
            const double x = v[0], y = v[1], z = v[2];
            v[0] = 100 * x, v[1] = -100 * z, v[2] = 100 * y; // forward is -Y
        }
    }
    aplomb_figure_desc desc = lay.desc();
    desc.metres_per_unit = .01;
    desc.up_axis = APLOMB_AXIS_Z;
    desc.forward_axis = APLOMB_AXIS_MINUS_Y;
    const FigureHandle figure = LayFigure::create_figure(desc);
    aplomb_solver* solver = nullptr;
    ASSERT_EQ(aplomb_solver_create(figure.get(), nullptr, &solver, nullptr), APLOMB_OK);
    std::vector<double> t = metres.translations, q = metres.rotations;
    for (size_t i = 0; i < t.size(); i += 3) {
        const double y = t[i + 1], z = t[i + 2];
        t[i] *= 100, t[i + 1] = -100 * z, t[i + 2] = 100 * y;
    }
    for (size_t i = 0; i < q.size(); i += 4) {
        const double y = q[i + 1];
        q[i + 1] = -q[i + 2], q[i + 2] = y;
    }
    metres.fill();
    aplomb_situation situation = metres.situation;
    situation.translations = t.data();
    situation.rotations = q.data();
    aplomb_load load = metres.loads[0];
    for (double& v : load.offset)
        v *= 100;
    situation.loads = &load;
    aplomb_reading reading;
    aplomb_reading_init(&reading, sizeof reading);
    aplomb_error error{};
    ASSERT_EQ(aplomb_read(solver, &situation, nullptr, &reading, &error), APLOMB_OK) << error.message;
    aplomb_solver_destroy(solver);
    const aplomb_reading expected = metres.read();
    expect_same_scalars(expected, reading, 100, 1e-9);
    EXPECT_NEAR(reading.centre[2], 100 * expected.centre[1], 1e-7);
    EXPECT_NEAR(reading.centre[1], -100 * expected.centre[2], 1e-7);
    EXPECT_NEAR(reading.tip_direction[2], expected.tip_direction[1], 1e-9);
}

double margin_with(Scene& scene, double mass) {
    scene.loads[0].mass = mass;
    return scene.read().margin;
}

/// Where the margin changes sign between two masses.
double bound_between(Scene& scene, double in, double out) {
    for (int i = 0; i < 60; ++i) {
        const double middle = .5 * (in + out);
        (margin_with(scene, middle) >= 0 ? in : out) = middle;
    }
    return in;
}

TEST(Read, StandingMassesAgainstBisection) {
    Scene scene = carrying();
    scene.loads.push_back(aplomb_load_make(3, scene.lay.find("left_hand")));
    aplomb_pull pull{};
    pull.joint = scene.lay.find("head");
    pull.force[1] = -40, pull.force[2] = -15;
    scene.pulls.push_back(pull);
    const aplomb_reading r = scene.read();
    ASSERT_LT(r.loads[0].stands_max, 1000);
    EXPECT_NEAR(bound_between(scene, r.loads[0].natural, 1000), r.loads[0].stands_max, 1e-5);
    // The reading of a load does not depend on the mass that it was given.
    EXPECT_NEAR(scene.read().loads[0].stands_max, r.loads[0].stands_max, 1e-6);
}

TEST(Read, LowestStandingMassAgainstBisection) {
    Scene scene;
    scene.turn("spine_1", 0, -40 * degree).load_in_front(10, .7);
    const aplomb_reading r = scene.read();
    ASSERT_GT(r.loads[0].stands_min, 0) << "leaning this far back needs a load";
    EXPECT_NEAR(bound_between(scene, r.loads[0].natural, 0), r.loads[0].stands_min, 1e-5);
}

TEST(Read, NaturalMassAgainstScan) {
    Scene scene;
    scene.bend(-15 * degree).load_in_front(10, .5);
    const aplomb_reading r = scene.read();
    double best = -1, nearest = 1e300;
    for (double mass = 0; mass < 60; mass += .05) {
        scene.loads[0].mass = mass;
        const aplomb_reading at = scene.read();
        const double off = std::hypot(at.balance_point[2] - at.home[2], at.balance_point[0]);
        if (off < nearest) nearest = off, best = mass;
    }
    EXPECT_GT(best, 1.5);
    EXPECT_NEAR(r.loads[0].natural, best, .06);
    EXPECT_GE(r.loads[0].natural, r.loads[0].rests_min);
    EXPECT_LE(r.loads[0].natural, r.loads[0].rests_max);
}

// Sideways the load belongs over the middle between the feet, wherever home is.
TEST(Read, NaturalMassAtTheSideAgainstScan) {
    Scene scene;
    scene.lean_right(15 * degree);
    aplomb_load load = aplomb_load_make(5, scene.lay.find("hips"));
    load.offset[0] = .5;
    scene.loads.push_back(load);
    const aplomb_reading r = scene.read();
    double best = -1, nearest = 1e300;
    for (double mass = 0; mass < 60; mass += .05) {
        scene.loads[0].mass = mass;
        const aplomb_reading at = scene.read();
        const double off = std::hypot(at.balance_point[2] - at.home[2], at.balance_point[0]);
        if (off < nearest) nearest = off, best = mass;
    }
    EXPECT_GT(best, 2);
    EXPECT_NEAR(r.loads[0].natural, best, .06);
}

TEST(Read, LoadOverTheFeetTellsNothing) {
    Scene scene;
    aplomb_load yoke = aplomb_load_make(30, scene.lay.find("neck"));
    scene.loads.push_back(yoke);
    const aplomb_reading r = scene.read();
    EXPECT_EQ(r.loads[0].tells, 0);
    EXPECT_TRUE(std::isinf(r.loads[0].stands_max));
}

TEST(Read, CorrectedAgainstItsOwnKeyIsTheReadingItself) {
    Scene scene = carrying();
    const aplomb_reading key = scene.read();
    aplomb_result result;
    aplomb_result_init(&result, sizeof result);
    std::copy(key.home, key.home + 3, result.home);
    std::copy(key.balance_point, key.balance_point + 3, result.rest_point);
    aplomb_reading r;
    aplomb_reading_init(&r, sizeof r);
    ASSERT_EQ(aplomb_read_corrected(scene.solver.get(), &scene.situation, nullptr, scene.translations.data(),
                                    scene.rotations.data(), &result, &r, nullptr),
              APLOMB_OK);
    EXPECT_TRUE(std::isnan(key.loads[0].countered));
    // Aiming at the balance point that it has, it counters exactly what it carries.
    EXPECT_NEAR(r.loads[0].countered, 12, 1e-9);
    EXPECT_DOUBLE_EQ(r.margin, key.margin);
    EXPECT_DOUBLE_EQ(r.loads[0].natural, key.loads[0].natural);
}

// A corrected pose keeps the key's contacts, whatever its own feet do; its loads ride along.
TEST(Read, CorrectedKeepsTheKeysContacts) {
    Scene scene = carrying();
    const aplomb_reading key = scene.read();
    aplomb_result result;
    aplomb_result_init(&result, sizeof result);
    std::vector<double> moved = scene.translations;
    moved[2] -= .03;
    aplomb_reading r;
    aplomb_reading_init(&r, sizeof r);
    ASSERT_EQ(aplomb_read_corrected(scene.solver.get(), &scene.situation, nullptr, moved.data(),
                                    scene.rotations.data(), &result, &r, nullptr),
              APLOMB_OK);
    EXPECT_NEAR(r.balance_point[2], key.balance_point[2] - .03, 1e-12);
    EXPECT_NEAR(r.load_centre[0][2], key.load_centre[0][2] - .03, 1e-12);
    EXPECT_DOUBLE_EQ(r.area[0][2], key.area[0][2]);
}

// The same call twice, with another in between, gives the same bytes: nothing is left over in the solver.
TEST(Read, UsedSolverReadsLikeAFreshOne) {
    Scene scene = carrying(), other;
    const aplomb_reading first = scene.read();
    other.solver.swap(scene.solver);
    other.lift_foot("left");
    scene.contact("left_foot", APLOMB_BEARING);
    scene.read();
    scene.contacts.clear();
    const aplomb_reading again = scene.read();
    EXPECT_EQ(0, std::memcmp(&first, &again, sizeof first));
}

TEST(Read, OlderCallerGetsAsMuchAsItsStructHolds) {
    Scene scene;
    scene.read();
    aplomb_reading reading;
    aplomb_reading_init(&reading, sizeof reading);
    reading.struct_size = offsetof(aplomb_reading, area);
    reading.cue_count = -7;
    ASSERT_EQ(aplomb_read(scene.solver.get(), &scene.situation, nullptr, &reading, nullptr), APLOMB_OK);
    EXPECT_EQ(reading.cue_count, -7);
    EXPECT_NEAR(reading.body_mass, 75, 1e-9);
}

TEST(Read, QuadrupedSpreadsItsWeight) {
    Scene scene(LayFigure::quadruped());
    scene.contact("left_hind_hock", APLOMB_BEARING).contact("right_hind_hock", APLOMB_BEARING);
    scene.contact("left_fore_paw", APLOMB_BEARING).contact("right_fore_paw", APLOMB_BEARING);
    const aplomb_reading r = scene.read();
    ASSERT_EQ(r.contact_count, 4);
    EXPECT_GT(r.margin, 0);
    double sum = 0;
    for (int i = 0; i < 4; ++i) {
        EXPECT_GT(r.contacts[i].share, .05);
        EXPECT_GE(r.contacts[i].share, r.contacts[i].share_min - 1e-12);
        EXPECT_LE(r.contacts[i].share, r.contacts[i].share_max + 1e-12);
        sum += r.contacts[i].share;
    }
    EXPECT_NEAR(sum, 1, 1e-9);
}

} // namespace
