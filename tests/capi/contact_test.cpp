// SPDX-License-Identifier: MIT
// What a contact says beyond its limb: its normal, what it rides on, and patches that keep what they are on still.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "poses.h"

namespace {

struct Solver {
    explicit Solver(const aplomb_figure* figure) { aplomb_solver_create(figure, nullptr, &solver, nullptr); }
    ~Solver() { aplomb_solver_destroy(solver); }
    Solver(const Solver&) = delete;
    Solver& operator=(const Solver&) = delete;
    aplomb_solver* solver = nullptr;
};

/// The adult with a box at its hands, upright; contacts are the feet, and a patch of one point still to be placed.
struct Scene : testing::Test {
    Scene() {
        for (int32_t limb = 0; limb < aplomb_figure_limb_count(figure.get()); ++limb) {
            aplomb_limb_info info;
            aplomb_limb_info_init(&info, sizeof info);
            aplomb_figure_limb(figure.get(), limb, &info, nullptr);
            if (info.kind == APLOMB_LEG) contacts[count++] = aplomb_contact_make(limb, APLOMB_BEARING);
        }
        aplomb_load_at(figure.get(), 15, "hands", &load, nullptr);
        load.offset[2] = .2;
    }
    void patch(const char* joint) {
        contacts[count] = aplomb_contact_make(-1, APLOMB_BEARING);
        contacts[count].joint = shape.find(joint);
        contacts[count].points = points, contacts[count++].point_count = 2;
    }
    aplomb_situation situation() {
        aplomb_situation s = pose.situation();
        s.contacts = contacts, s.contact_count = count;
        s.loads = &load, s.load_count = 1;
        return s;
    }
    aplomb_status balance() {
        const aplomb_situation s = situation();
        moved.translations = pose.translations, moved.rotations = pose.rotations;
        aplomb_result_init(&result, sizeof result);
        return aplomb_balance(solver.solver, &s, nullptr, moved.translations.data(), moved.rotations.data(),
                              &result, &error);
    }
    aplomb_status read() {
        const aplomb_situation s = situation();
        aplomb_reading reading;
        aplomb_reading_init(&reading, sizeof reading);
        return aplomb_read(solver.solver, &s, nullptr, &reading, &error);
    }
    void refused(const char* sentence) {
        EXPECT_EQ(balance(), APLOMB_BAD_ARGUMENT);
        EXPECT_STREQ(error.message, sentence);
    }
    double hips_moved() const {
        const double* t = result.controls.hips_shift;
        const double* r = result.controls.hips_turn;
        double most = 0;
        for (int k = 0; k < 3; ++k)
            most = std::max({most, std::fabs(t[k]), std::fabs(r[k])});
        return most;
    }

    lay::LayFigure shape = lay::LayFigure::adult();
    lay::FigureHandle figure = shape.create();
    Solver solver{figure.get()};
    lay::Pose pose{figure.get(), shape}, moved = pose;
    aplomb_contact contacts[4];
    int32_t count = 0;
    double points[6] = {.1, -.1, .0, -.1, -.1, .0};
    aplomb_load load{};
    aplomb_result result;
    aplomb_error error{};
};
using Contacts = Scene;

TEST_F(Contacts, ANormalAlongTheGroundsChangesNothingAndAnotherIsRefused) {
    ASSERT_GE(balance(), 0);
    const std::vector<double> usual = moved.rotations;
    contacts[0].normal[1] = 2;
    ASSERT_GE(balance(), 0);
    EXPECT_EQ(moved.rotations, usual);
    contacts[0].normal[0] = .5, contacts[0].normal[1] = 1;
    refused(
        "contacts[0].normal is (0.5, 1, 0), not along the ground's; only contacts that are level with the "
        "ground are solved so far.");
    contacts[0].normal[0] = 0, contacts[0].normal[1] = -1;
    EXPECT_EQ(balance(), APLOMB_BAD_ARGUMENT); // from above
    contacts[0].normal[1] = std::nan("");
    refused("contacts[0].normal[1] is nan; it must be -1e+06 to 1e+06.");
}

TEST_F(Contacts, OnlyWhatIsHeldRidesWithAHipJointAndReservedIsZero) {
    contacts[0].ride = APLOMB_RIDE_HIP;
    refused(
        "contacts[0].ride is APLOMB_RIDE_HIP, but hold is 2; only an end that is held (1) rides with a hip "
        "joint.");
    contacts[0].hold = APLOMB_HELD;
    EXPECT_GE(balance(), 0) << error.message;
    contacts[0].ride = 77;
    refused("contacts[0].ride is 77; it must be 0 to 2.");
    contacts[0].ride = APLOMB_RIDE_PLACE, contacts[0].hold = APLOMB_FREE;
    refused("contacts[0].ride is APLOMB_RIDE_PLACE, but hold is APLOMB_FREE; a free end keeps no place.");
    contacts[0].ride = APLOMB_RIDE_USUAL, contacts[0].reserved[3] = 1;
    refused("contacts[0].reserved holds 1; what is reserved must be 0.");
}

TEST_F(Contacts, ASeatOrAKneeThatBearsKeepsTheHips) {
    ASSERT_GE(balance(), 0);
    EXPECT_GT(hips_moved(), 0.01);
    for (const char* joint : {"hips", "left_shank", "right_thigh"}) {
        count = 2;
        patch(joint);
        ASSERT_GE(balance(), 0) << joint << ": " << error.message;
        EXPECT_EQ(hips_moved(), 0) << joint;
        EXPECT_EQ(moved.translations, pose.translations) << joint;
    }
}

TEST_F(Contacts, APatchOnTheTrunkIsReadButNotCorrected) {
    patch("spine_2");
    EXPECT_EQ(read(), APLOMB_OK) << error.message;
    const std::string sentence = "contacts[2] bears on joint " + std::to_string(shape.find("spine_2")) +
                                 " (spine_2), which a correction moves; of the trunk only the hips can bear.";
    refused(sentence.c_str());
}

TEST_F(Contacts, APatchOnAFreeArmHoldsItsHand) {
    patch("left_lower_arm");
    ASSERT_GE(balance(), 0) << error.message;
    EXPECT_GT(hips_moved(), 0.005);
    EXPECT_LT(aplomb::norm(moved.place("left_hand") - pose.place("left_hand")), 1e-9);
}

TEST_F(Contacts, ARopeOf150NewtonMakesOneLeanAgainstIt) {
    for (const double sign : {1.0, -1.0}) { // pulled forward: back, and the other way round
        aplomb_pull rope{};
        rope.joint = shape.find("right_hand");
        rope.force[2] = sign * 150;
        aplomb_situation s = situation();
        s.loads = nullptr, s.load_count = 0, s.pulls = &rope, s.pull_count = 1;
        moved.translations = pose.translations, moved.rotations = pose.rotations;
        aplomb_result_init(&result, sizeof result);
        ASSERT_GE(aplomb_balance(solver.solver, &s, nullptr, moved.translations.data(),
                                 moved.rotations.data(), &result, &error),
                  0)
            << error.message;
        EXPECT_LT(sign * result.controls.hips_shift[2], -.05);
        EXPECT_GT(result.margin_after, result.margin_before + .05);
    }
}

} // namespace
