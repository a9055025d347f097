// SPDX-License-Identifier: MIT
// What the border refuses, and with which sentence.
#include <gtest/gtest.h>

#include <cmath>
#include <cstdlib>
#include <limits>

#include "scene.h"

namespace {

using namespace lay;

const double nan = std::numeric_limits<double>::quiet_NaN();
const double infinite = std::numeric_limits<double>::infinity();

/// Expects a refusal that leaves the reading untouched.
void expect_refused(Scene& scene, aplomb_status status, const char* field, int index, const char* message) {
    aplomb_reading reading;
    aplomb_error error{};
    scene.fill();
    aplomb_reading_init(&reading, sizeof reading);
    reading.margin = 123;
    EXPECT_EQ(aplomb_read(scene.solver.get(), &scene.situation, nullptr, &reading, &error), status);
    EXPECT_EQ(reading.margin, 123);
    EXPECT_EQ(error.status, status);
    EXPECT_STREQ(error.field, field);
    EXPECT_EQ(error.index, index);
    EXPECT_STREQ(error.message, message);
}

TEST(Border, BadContacts) {
    const auto with = [](auto change, const char* message) {
        Scene scene;
        scene.contact("left_foot", APLOMB_BEARING).contact("right_foot", APLOMB_BEARING);
        change(scene.contacts[1]);
        expect_refused(scene, APLOMB_BAD_ARGUMENT, "contacts", 1, message);
    };
    with([](aplomb_contact& c) { c.bearing = nan; }, "contacts[1].bearing is nan; it must be 0 to 1.");
    with([](aplomb_contact& c) { c.bearing = 1.5; }, "contacts[1].bearing is 1.5; it must be 0 to 1.");
    with([](aplomb_contact& c) { c.share = -.25; }, "contacts[1].share is -0.25; it must be 0 to 1.");
    with([](aplomb_contact& c) { c.friction = infinite; },
         "contacts[1].friction is inf; it must be 0 to 1e+06.");
    with([](aplomb_contact& c) { c.limb = 99; }, "contacts[1].limb is 99; it must be -1 to 3.");
    with([](aplomb_contact& c) { c.hold = 7; }, "contacts[1].hold is 7; it must be 0 to 2.");
    with([](aplomb_contact& c) { c.footing = -1; }, "contacts[1].footing is -1; it must be 0 to 2.");
    with([](aplomb_contact& c) { c.limb = -1, c.joint = 0, c.point_count = 1; },
         "contacts[1].points is NULL; 1 points are needed.");
    with([](aplomb_contact& c) { c.limb = -1, c.joint = 500; },
         "contacts[1].joint is 500; it must be 0 to 21.");
}

TEST(Border, BadLoads) {
    const auto with = [](auto change, const char* message) {
        Scene scene;
        scene.loads.push_back(aplomb_load_make(5, 0));
        change(scene.loads[0]);
        expect_refused(scene, APLOMB_BAD_ARGUMENT, "loads", 0, message);
    };
    with([](aplomb_load& l) { l.mass = nan; }, "loads[0].mass is nan; it must be 0 to 1e+09.");
    with([](aplomb_load& l) { l.mass = -1; }, "loads[0].mass is -1; it must be 0 to 1e+09.");
    with([](aplomb_load& l) { l.holder[0] = -1; }, "loads[0].holder[0] is -1; it must be 0 to 21.");
    with([](aplomb_load& l) { l.offset[1] = infinite; },
         "loads[0].offset[1] is inf; it must be -1e+09 to 1e+09.");
    with([](aplomb_load& l) { l.level = 2; }, "loads[0].level is 2; it must be 0 to 1.");
}

TEST(Border, BadPose) {
    Scene scene;
    scene.translations[5] = nan;
    aplomb_reading reading;
    aplomb_error error{};
    EXPECT_EQ(scene.try_read(reading, &error), APLOMB_BAD_POSE);
    EXPECT_STREQ(error.field, "translations");
    EXPECT_EQ(error.index, 1);
}

TEST(Border, NothingBears) {
    Scene scene;
    scene.contact("left_foot", APLOMB_HELD);
    expect_refused(scene, APLOMB_NO_SUPPORT, "contacts", -1,
                   "No contact bears weight; set hold to APLOMB_BEARING and bearing above 0 on one with a "
                   "sole, a palm or points.");
}

TEST(Border, LiftedOffByAPull) {
    Scene scene;
    aplomb_pull up{};
    up.force[1] = 1000;
    scene.pulls.push_back(up);
    expect_refused(scene, APLOMB_NO_SUPPORT, "pulls", -1,
                   "The figure does not press on the ground: pulls lift it off; lessen their upward force.");
}

TEST(Border, GravityAwayFromTheGround) {
    Scene scene;
    scene.situation.gravity[1] = 9.8;
    expect_refused(scene, APLOMB_NO_SUPPORT, "gravity", -1,
                   "gravity does not press the figure to the ground; it must point against ground_normal.");
}

TEST(Border, BadMotion) {
    const auto with = [](auto change, aplomb_status status, const char* field, int index,
                         const char* message) {
        Scene scene;
        change(scene.situation);
        expect_refused(scene, status, field, index, message);
    };
    with([](aplomb_situation& s) { s.com_acceleration[2] = nan; }, APLOMB_BAD_ARGUMENT, "com_acceleration", 2,
         "com_acceleration[2] is nan; it must be -1e+20 to 1e+20.");
    with([](aplomb_situation& s) { s.angular_momentum_rate[0] = infinite; }, APLOMB_BAD_ARGUMENT,
         "angular_momentum_rate", 0, "angular_momentum_rate[0] is inf; it must be -1e+20 to 1e+20.");
    const char* const falls =
        "gravity less the acceleration does not press the figure to the ground: it falls or is thrown aside; "
        "at least 0.001 of it must point against ground_normal.";
    for (const double fall : {-9.80665, -20.0}) {
        with([=](aplomb_situation& s) { s.com_acceleration[1] = fall; }, APLOMB_NO_SUPPORT,
             "com_acceleration", -1, falls);
    }
    with([](aplomb_situation& s) { s.com_acceleration[0] = 1e6; }, APLOMB_NO_SUPPORT, "com_acceleration", -1,
         falls);
    with([](aplomb_situation& s) { s.angular_momentum_rate[0] = 75 * 9.80665 * 1e4; }, APLOMB_NO_SUPPORT,
         "pulls", -1,
         "The figure hardly presses on the ground: its balance point is 10000 m away; at most 500 m are "
         "allowed. Lessen the pulls and angular_momentum_rate, or check the figure's unit.");
}

TEST(Border, MissingArguments) {
    Scene scene;
    scene.fill();
    aplomb_reading reading;
    aplomb_reading_init(&reading, sizeof reading);
    aplomb_error error{};
    EXPECT_EQ(aplomb_read(nullptr, &scene.situation, nullptr, &reading, &error), APLOMB_BAD_ARGUMENT);
    EXPECT_STREQ(error.message, "solver is NULL.");
    EXPECT_EQ(aplomb_read(scene.solver.get(), nullptr, nullptr, &reading, &error), APLOMB_BAD_ARGUMENT);
    EXPECT_EQ(aplomb_read(scene.solver.get(), &scene.situation, nullptr, nullptr, &error),
              APLOMB_BAD_ARGUMENT);
    aplomb_situation unset{};
    EXPECT_EQ(aplomb_read(scene.solver.get(), &unset, nullptr, &reading, &error), APLOMB_WRONG_VERSION);
    EXPECT_EQ(aplomb_read(scene.solver.get(), nullptr, nullptr, &reading, nullptr), APLOMB_BAD_ARGUMENT);
}

TEST(Border, CorrectedNeedsAFiniteRestPoint) {
    Scene scene;
    scene.fill();
    aplomb_reading reading;
    aplomb_reading_init(&reading, sizeof reading);
    aplomb_result result;
    aplomb_result_init(&result, sizeof result);
    result.rest_point[1] = nan;
    aplomb_error error{};
    EXPECT_EQ(aplomb_read_corrected(scene.solver.get(), &scene.situation, nullptr, scene.translations.data(),
                                    scene.rotations.data(), &result, &reading, &error),
              APLOMB_BAD_ARGUMENT);
    EXPECT_STREQ(error.message, "result.rest_point[1] is nan.");
}

struct Counted {
    int alive = 0;
    bool refuse = false;
    size_t asked = 0;
};
void* counted_allocate(size_t size, size_t alignment, void* user) {
    Counted& c = *static_cast<Counted*>(user);
    c.asked = size;
    if (c.refuse) return nullptr;
    ++c.alive;
    return std::aligned_alloc(alignment, (size + alignment - 1) / alignment * alignment);
}
void counted_free(void* memory, size_t size, void* user) {
    Counted& c = *static_cast<Counted*>(user);
    EXPECT_EQ(size, c.asked);
    --c.alive;
    std::free(memory);
}

TEST(Border, SolverLivesInTheCallersMemory) {
    const FigureHandle figure = LayFigure::adult().create();
    Counted counted;
    const aplomb_allocator allocator = {counted_allocate, counted_free, &counted};
    aplomb_solver* solver = nullptr;
    ASSERT_EQ(aplomb_solver_create(figure.get(), &allocator, &solver, nullptr), APLOMB_OK);
    EXPECT_EQ(counted.alive, 1);
    EXPECT_EQ(counted.asked, aplomb_solver_size(figure.get()));
    aplomb_solver_destroy(solver);
    EXPECT_EQ(counted.alive, 0);
    aplomb_solver_destroy(nullptr);

    counted.refuse = true;
    EXPECT_EQ(aplomb_solver_create(figure.get(), &allocator, &solver, nullptr), APLOMB_OUT_OF_MEMORY);
    EXPECT_EQ(solver, nullptr);
}

TEST(Border, DefaultStance) {
    Scene scene;
    aplomb_contact contacts[APLOMB_MAX_CONTACTS];
    const auto stance = [&] {
        return aplomb_stance_default(scene.figure.get(), scene.translations.data(), scene.rotations.data(),
                                     contacts, nullptr);
    };
    const auto hold = [&](const char* end) { return contacts[scene.limb_of(end)].hold; };
    ASSERT_EQ(stance(), aplomb_figure_limb_count(scene.figure.get()));
    EXPECT_EQ(hold("left_foot"), APLOMB_BEARING);
    EXPECT_EQ(hold("right_foot"), APLOMB_BEARING);
    EXPECT_EQ(hold("left_hand"), APLOMB_FREE);
    scene.lift_foot("right");
    stance();
    EXPECT_EQ(hold("left_foot"), APLOMB_BEARING);
    EXPECT_EQ(hold("right_foot"), APLOMB_HELD);
    scene.rotations[3] = 5;
    EXPECT_EQ(stance(), APLOMB_BAD_POSE);
    EXPECT_EQ(aplomb_stance_default(nullptr, nullptr, nullptr, contacts, nullptr), APLOMB_BAD_ARGUMENT);
}

} // namespace
