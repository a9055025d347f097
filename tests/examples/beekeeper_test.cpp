// SPDX-License-Identifier: MIT
// The demo character is what README.md of the examples says it is.
#include <gtest/gtest.h>

#include <aplomb/aplomb.hpp>
#include <aplomb/files.h>

#include <map>
#include <memory>
#include <numbers>
#include <string>
#include <utility>

namespace {

const char* const poses[] = {"standing",   "honey box", "syrup bucket", "hive",
                             "over a log", "comb",      "squat lift",   "tiptoe"};

class Beekeeper : public testing::Test {
protected:
    void SetUp() override {
        aplomb_character* opened = nullptr;
        aplomb_error error{};
        ASSERT_EQ(
            aplomb_character_open(APLOMB_SOURCE_DIR "/examples/beekeeper.glb", nullptr, &opened, &error),
            APLOMB_OK)
            << error.message;
        character.reset(opened);
        figure = aplomb_character_figure(opened);
    }

    aplomb::Pose pose(const std::string& clip) const {
        aplomb::Pose made(aplomb_figure_joint_count(figure));
        const int32_t number = aplomb_character_find_clip(character.get(), clip.c_str());
        EXPECT_GE(number, 0) << clip;
        EXPECT_EQ(aplomb_character_pose(character.get(), number, 0, made.translations.data(),
                                        made.rotations.data(), nullptr),
                  APLOMB_OK);
        return made;
    }

    struct Close {
        void operator()(aplomb_character* open) const { aplomb_character_close(open); }
        void operator()(aplomb_solver* solver) const { aplomb_solver_destroy(solver); }
    };
    std::unique_ptr<aplomb_character, Close> character;
    const aplomb_figure* figure = nullptr;
};

TEST_F(Beekeeper, HasTheJointsAndTheStatureItClaims) {
    aplomb_figure_info info;
    aplomb_figure_info_init(&info, sizeof info);
    ASSERT_EQ(aplomb_figure_describe(figure, &info, nullptr), APLOMB_OK);
    EXPECT_EQ(info.joint_count, 25);
    EXPECT_EQ(info.limb_count, 4);
    EXPECT_NEAR(info.stature, 1.72, 0.01);
    EXPECT_EQ(info.chest, aplomb_figure_find_joint(figure, "spine_3"));
    EXPECT_EQ(info.hips, aplomb_figure_find_joint(figure, "hips"));
}

TEST_F(Beekeeper, IsClosed) {
    aplomb_mesh mesh{};
    ASSERT_EQ(aplomb_character_mesh(character.get(), &mesh, nullptr), APLOMB_OK);
    EXPECT_GE(mesh.triangle_count, 4000);
    EXPECT_LE(mesh.triangle_count, 9000);
    std::map<std::pair<int32_t, int32_t>, int> edges;
    for (int32_t t = 0; t < mesh.triangle_count; ++t) {
        for (int k = 0; k < 3; ++k)
            ++edges[{mesh.triangles[3 * t + k], mesh.triangles[3 * t + (k + 1) % 3]}];
    }
    for (const auto& [edge, count] : edges) {
        const auto other = edges.find({edge.second, edge.first});
        ASSERT_TRUE(count == 1 && other != edges.end()) << edge.first << " to " << edge.second;
    }
}

TEST_F(Beekeeper, StandsOnTheGroundInEveryPose) {
    for (const std::string clip : poses) {
        const aplomb::Pose keyed = pose(clip);
        aplomb_contact contacts[APLOMB_MAX_CONTACTS];
        const int32_t count = aplomb_stance_default(figure, keyed.translations.data(), keyed.rotations.data(),
                                                    contacts, nullptr);
        ASSERT_EQ(count, 4) << clip;
        EXPECT_EQ(contacts[0].hold, clip == "over a log" ? APLOMB_HELD : APLOMB_BEARING) << clip;
        EXPECT_EQ(contacts[1].hold, APLOMB_BEARING) << clip;
        EXPECT_EQ(contacts[1].footing, clip == "tiptoe" ? APLOMB_ON_BALL : APLOMB_FLAT) << clip;
    }
}

/// "Over 8 degrees reads heavy, over 15 strain": common practice.
TEST_F(Beekeeper, LeansBackAgainstABoxOfThirtyPercent) {
    aplomb_solver* made = nullptr;
    ASSERT_EQ(aplomb_solver_create(figure, nullptr, &made, nullptr), APLOMB_OK);
    const std::unique_ptr<aplomb_solver, Close> solver(made);
    aplomb::Pose box = pose("honey box");
    aplomb_load load = aplomb_load_make(21, aplomb_figure_find_joint(figure, "left_hand"));
    load.holder[1] = aplomb_figure_find_joint(figure, "right_hand");
    const aplomb_situation situation = aplomb::situation(box, {&load, 1});
    aplomb_result result;
    aplomb_result_init(&result, sizeof result);
    aplomb::Pose balanced = box;
    ASSERT_EQ(aplomb_balance(solver.get(), &situation, nullptr, balanced.translations.data(),
                             balanced.rotations.data(), &result, nullptr),
              APLOMB_OK);
    const double lean = -(result.controls.hips_turn[0] + result.controls.chest[0]) * 180 / std::numbers::pi;
    EXPECT_GT(lean, 8);
    EXPECT_LT(lean, 15);
}

} // namespace
