// SPDX-License-Identifier: MIT
// What a result and aplomb_explain say: a text for each status, and of every hold that gave way by how much.
#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <memory>
#include <string>
#include <vector>

#include "poses.h"

namespace {

struct DestroySolver {
    void operator()(aplomb_solver* solver) const { aplomb_solver_destroy(solver); }
};

bool contains(const std::string& text, const std::string& part) {
    return text.find(part) != std::string::npos;
}

/// A standing adult, what it carries, and the correction.
struct Told {
    explicit Told(lay::FigureHandle made = {}) : figure(made ? std::move(made) : shape.create()) {
        aplomb_solver* created = nullptr;
        EXPECT_EQ(aplomb_solver_create(figure.get(), nullptr, &created, nullptr), APLOMB_OK);
        solver.reset(created);
        aplomb_options_init(&options, sizeof options);
        aplomb_result_init(&result, sizeof result);
    }

    void carry(double mass) {
        load = aplomb_load_make(mass, shape.find("spine_3"));
        load.offset[2] = 0.4;
    }
    aplomb_situation situation() const {
        aplomb_situation s = pose.situation();
        s.loads = &load, s.load_count = load.mass > 0 ? 1 : 0;
        s.contacts = contacts.data(), s.contact_count = static_cast<int32_t>(contacts.size());
        if (contacts.empty()) s.contacts = nullptr;
        return s;
    }
    aplomb_status balance() {
        const aplomb_situation s = situation();
        out.translations = pose.translations, out.rotations = pose.rotations;
        return aplomb_balance(solver.get(), &s, &options, out.translations.data(), out.rotations.data(),
                              &result, nullptr);
    }
    aplomb_status step(double seconds) {
        const aplomb_situation s = situation();
        aplomb_frame frame;
        aplomb_frame_init(&frame, sizeof frame);
        frame.seconds = seconds;
        out.translations = pose.translations, out.rotations = pose.rotations;
        return aplomb_step(solver.get(), &state, &s, &options, nullptr, &frame, out.translations.data(),
                           out.rotations.data(), &result, nullptr);
    }
    std::string text() const {
        char buffer[4000];
        aplomb_explain(figure.get(), &result, buffer, sizeof buffer);
        return buffer;
    }

    lay::LayFigure shape = lay::LayFigure::adult();
    lay::FigureHandle figure;
    lay::Pose pose{figure.get(), shape}, out = pose;
    std::unique_ptr<aplomb_solver, DestroySolver> solver;
    aplomb_load load{};
    std::vector<aplomb_contact> contacts;
    aplomb_options options;
    aplomb_result result;
    aplomb_step_state state{};
};

// ---- A text for each status --------------------------------------------------------------------------------

TEST(ToldStatus, InBalanceAsKeyed) {
    Told told;
    EXPECT_EQ(told.balance(), APLOMB_OK);
    EXPECT_EQ(told.result.status, APLOMB_OK);
    EXPECT_EQ(told.text(), "In balance as keyed; nothing to change.\n");
}

TEST(ToldStatus, BroughtIntoBalance) {
    Told told;
    told.pose.soft_knees(10);
    told.carry(15);
    EXPECT_EQ(told.balance(), APLOMB_OK);
    EXPECT_EQ(told.result.status, APLOMB_OK);
    EXPECT_TRUE(contains(told.text(), "Spine bends back ")) << told.text();
    for (const char* other : {"reach", "converged", "On its way", "as keyed", "Nothing"})
        EXPECT_FALSE(contains(told.text(), other)) << other << " in\n" << told.text();
}

// What the result says of a carry is measured again on the written pose.
TEST(ToldCarry, KneesShouldersAndTheBox) {
    Told told;
    told.pose.soft_knees(10).both("upper_arm", -20).both("lower_arm", -70);
    told.load = aplomb_load_make(25, told.shape.find("left_hand"));
    told.load.holder[1] = told.shape.find("right_hand"), told.load.offset[2] = .15;
    ASSERT_EQ(told.balance(), APLOMB_OK);
    const aplomb_result& r = told.result;
    const auto bend = [](const lay::Pose& pose, const std::string& side) {
        const aplomb::Vec3 hip = pose.place(side + "_thigh"), knee = pose.place(side + "_shank"),
                           ankle = pose.place(side + "_foot");
        return std::acos(dot(knee - hip, ankle - knee) / (norm(knee - hip) * norm(ankle - knee)));
    };
    ASSERT_EQ(r.knee_count, 2);
    for (int k = 0; k < 2; ++k) {
        aplomb_limb_info limb;
        aplomb_limb_info_init(&limb, sizeof limb);
        ASSERT_EQ(aplomb_figure_limb(told.figure.get(), r.knees[k].limb, &limb, nullptr), APLOMB_OK);
        const std::string side = limb.side == APLOMB_SIDE_LEFT ? "left" : "right";
        EXPECT_NEAR(r.knees[k].keyed, bend(told.pose, side), 1e-6);
        EXPECT_NEAR(r.knees[k].bend, bend(told.out, side), 1e-6);
        EXPECT_GT(r.knees[k].bend, r.knees[k].keyed + 5 * aplomb::degree);
    }
    for (const std::string side : {"left", "right"}) {
        aplomb::Quat keyed, now;
        told.pose.place(told.shape.find("spine_3"), keyed), told.out.place(told.shape.find("spine_3"), now);
        const auto lever = [&](const lay::Pose& pose) {
            return pose.place(side + "_upper_arm") - pose.place(side + "_girdle");
        };
        const double drop = (rotate(now * conjugate(keyed), lever(told.pose)) - lever(told.out)).y;
        EXPECT_NEAR(r.shoulders[side == "left" ? 0 : 1], drop, 1e-9);
        EXPECT_GT(drop, .005);
    }
    EXPECT_GT(r.lowered, .01);
    EXPECT_GT(r.drawn_in, 0);
    for (const char* words : {"Knees bend to ", "Shoulders: ", "Load in the hands: "})
        EXPECT_TRUE(contains(told.text(), words)) << words << " in\n" << told.text();
}

TEST(ToldStatus, OutOfReach) {
    Told told;
    told.pose.soft_knees(10);
    told.carry(60);
    told.load.offset[2] = 0.8;
    told.options.max_hips = 0.02, told.options.max_trunk = 2 * aplomb::degree;
    EXPECT_EQ(told.balance(), APLOMB_OUT_OF_REACH);
    EXPECT_EQ(told.result.status, APLOMB_OUT_OF_REACH);
    char first[120];
    snprintf(first, sizeof first,
             "Balance is out of reach by %.1f cm: this is the nearest pose that the limits allow.\n",
             100 * told.result.slack);
    EXPECT_EQ(told.text().rfind(first, 0), 0u) << told.text();
    told.result.slack = 2e-6;
    EXPECT_EQ(told.text().rfind(
                  "Balance is just out of reach: this is the nearest pose that the limits allow.\n", 0),
              0u)
        << told.text();
}

TEST(ToldStatus, NotConverged) {
    Told told;
    told.pose.soft_knees(10);
    told.carry(30);
    told.options.max_iterations = 1;
    EXPECT_EQ(told.balance(), APLOMB_NOT_CONVERGED);
    EXPECT_EQ(told.result.status, APLOMB_NOT_CONVERGED);
    told.result.slack = 0;
    EXPECT_EQ(told.text().rfind("Not converged: the solver stopped before it was sure. This is the best pose "
                                "that it found.\n",
                                0),
              0u)
        << told.text();
    told.result.slack = 0.123;
    EXPECT_TRUE(contains(told.text(), "found, 12.3 cm short of balance.\n")) << told.text();
    EXPECT_FALSE(contains(told.text(), "out of reach")) << told.text();
}

/// Straight legs whose hips and ankles may not turn: nothing near the key keeps to the limits.
lay::FigureHandle stiff_legs() {
    lay::LayFigure shape = lay::LayFigure::adult();
    std::vector<double> limits(6 * static_cast<size_t>(shape.count()),
                               std::numeric_limits<double>::quiet_NaN());
    for (const char* name : {"left_thigh", "right_thigh", "left_foot", "right_foot"})
        std::fill_n(limits.begin() + 6 * shape.find(name), 6, 0.0);
    aplomb_figure_desc desc = shape.desc();
    desc.limits = limits.data();
    return lay::LayFigure::create_figure(desc);
}

TEST(ToldStatus, StuckAtTheKey) {
    Told told(stiff_legs());
    told.options.free &= ~static_cast<uint32_t>(APLOMB_FREE_HIPS_TURN);
    aplomb_figure_neutral_pose(told.figure.get(), told.pose.translations.data(), told.pose.rotations.data());
    told.carry(60);
    EXPECT_EQ(told.balance(), APLOMB_NOT_CONVERGED);
    EXPECT_EQ(told.result.status, APLOMB_NOT_CONVERGED);
    ASSERT_EQ(told.result.changed, 0);
    ASSERT_LT(told.result.margin_before, told.result.margin_asked);
    EXPECT_EQ(told.text(), "Not converged: nothing better was found within the limits. The keyed pose stays, "
                           "and is not in balance.\n");
    told.carry(1);
    EXPECT_EQ(told.balance(), APLOMB_NOT_CONVERGED);
    ASSERT_GE(told.result.margin_before, told.result.margin_asked);
    EXPECT_EQ(told.text(),
              "Not converged: nothing better was found within the limits. The keyed pose stays.\n");
}

TEST(ToldStatus, Settling) {
    Told told;
    told.pose.soft_knees(10);
    EXPECT_EQ(told.step(1.0 / 60), APLOMB_OK);
    told.carry(60);
    EXPECT_EQ(told.step(1.0 / 60), APLOMB_SETTLING);
    EXPECT_EQ(told.result.status, APLOMB_SETTLING);
    char first[120];
    snprintf(first, sizeof first, "On its way: the hips are %.1f cm from where they are to be.\n",
             100 * told.result.lag);
    EXPECT_EQ(told.text().rfind(first, 0), 0u) << told.text();
}

TEST(ToldStatus, AFailedCallLeavesNothingToTell) {
    Told told;
    EXPECT_EQ(told.text(), "Nothing was corrected yet.\n");
    told.pose.rotations[3] = 2;
    EXPECT_EQ(told.balance(), APLOMB_BAD_POSE);
    EXPECT_EQ(told.result.status, APLOMB_BAD_ARGUMENT);
    EXPECT_EQ(told.text(), "Nothing was corrected yet.\n");
}

// ---- Holds that give way -----------------------------------------------------------------------------------

/// On the right foot, the left leg straight out to the side, where it is held; the hips have to go right.
struct Straddle : Told {
    explicit Straddle(double lean = -50) {
        pose.soft_knees(5);
        pose.turn("left_thigh", 0, 0, lean).set("left_shank", {});
        for (int32_t limb = 0; limb < aplomb_figure_limb_count(figure.get()); ++limb) {
            aplomb_limb_info info;
            aplomb_limb_info_init(&info, sizeof info);
            EXPECT_EQ(aplomb_figure_limb(figure.get(), limb, &info, nullptr), APLOMB_OK);
            if (info.kind != APLOMB_LEG) continue;
            const bool left = info.side == APLOMB_SIDE_LEFT;
            if (left) held = limb;
            contacts.push_back(aplomb_contact_make(limb, left ? APLOMB_HELD : APLOMB_BEARING));
        }
    }
    int32_t held = -1;
};

TEST(ToldHolds, GiveWayBeforeBalanceDoesAndSaySo) {
    Straddle told;
    ASSERT_EQ(told.balance(), APLOMB_OK);
    ASSERT_EQ(told.result.gave_way_count, 1);
    const aplomb_gave_way& hold = told.result.gave_way[0];
    EXPECT_EQ(hold.limb, told.held);
    const int32_t foot = told.shape.find("left_foot");
    aplomb::Quat keyed, written;
    const aplomb::Vec3 way = told.out.place(foot, written) - told.pose.place(foot, keyed);
    EXPECT_GT(hold.place, 0.02);
    EXPECT_NEAR(hold.place, norm(way), 1e-9);
    EXPECT_NEAR(hold.attitude, norm(log_rotation(written * conjugate(keyed))), 1e-9);
    char line[120];
    snprintf(line, sizeof line, "The hold of the left foot gave way: %.1f cm from its place",
             100 * hold.place);
    EXPECT_TRUE(contains(told.text(), line)) << line << " in\n" << told.text();
    snprintf(line, sizeof line, "%.1f degrees turned\n", hold.attitude / aplomb::degree);
    EXPECT_EQ(contains(told.text(), line), hold.attitude > 0.05 * aplomb::degree) << told.text();
}

TEST(ToldHolds, ThatKeepAreNotListed) {
    Straddle told(0);
    told.pose.turn("left_thigh", -30).turn("left_shank", 60);
    ASSERT_EQ(told.balance(), APLOMB_OK);
    ASSERT_TRUE(told.result.changed);
    EXPECT_EQ(told.result.gave_way_count, 0);
    EXPECT_FALSE(contains(told.text(), "gave way")) << told.text();
}

// The numbers of a result that is not the library's are not trusted.
TEST(ToldHolds, OfAStrangerAreNotReadPastTheirEnd) {
    Told told;
    told.result.status = APLOMB_OK, told.result.changed = 1, told.result.gave_way_count = 1 << 30;
    told.result.gave_way[0] = {1 << 20, 0, 1, 1};
    EXPECT_FALSE(contains(told.text(), "way")) << told.text();
}

} // namespace
