// SPDX-License-Identifier: MIT
// The demo shots, whose steps are known: examples/make_shots.py.
#include <aplomb/files.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <fstream>
#include <string>

#include "ridden.h"
#include "walk.h"

namespace {

struct Close {
    void operator()(aplomb_character* open) const { aplomb_character_close(open); }
};

class Shots : public testing::Test {
protected:
    void SetUp() override {
        aplomb_character* opened = nullptr;
        aplomb_error error{};
        ASSERT_EQ(aplomb_character_open(APLOMB_SOURCE_DIR "/examples/beekeeper_shots.glb", nullptr, &opened,
                                        &error),
                  APLOMB_OK)
            << error.message;
        character.reset(opened);
        figure = aplomb_character_figure(opened);
    }
    shot::Poses poses_of(const char* clip) const {
        const int32_t number = aplomb_character_find_clip(character.get(), clip);
        EXPECT_GE(number, 0) << clip;
        const auto joints = static_cast<std::size_t>(aplomb_figure_joint_count(figure));
        std::vector<double> translations(3 * joints), rotations(4 * joints);
        shot::Poses poses;
        std::vector<double> times(
            static_cast<std::size_t>(aplomb_character_key_times(character.get(), number, nullptr, 0)));
        aplomb_character_key_times(character.get(), number, times.data(), static_cast<int32_t>(times.size()));
        for (const double time : times) {
            EXPECT_EQ(aplomb_character_pose(character.get(), number, time, translations.data(),
                                            rotations.data(), nullptr),
                      APLOMB_OK);
            poses.add(time, translations, rotations);
        }
        return poses;
    }
    /// "flat 0-7, ball 8-12, ..." of one foot.
    std::string stands(const shot::Reading& reading, aplomb_side side) const {
        static constexpr const char* words[] = {"flat", "ball", "heel"};
        std::string text;
        for (const aplomb_stance_range& range : reading.stances()) {
            aplomb_limb_info info;
            aplomb_limb_info_init(&info, sizeof info);
            aplomb_figure_limb(figure, range.limb, &info, nullptr);
            if (info.side == side)
                text += (text.empty() ? "" : ", ") + std::string(words[range.footing]) + " " +
                        std::to_string(range.first) + "-" + std::to_string(range.last);
        }
        return text;
    }

    std::unique_ptr<aplomb_character, Close> character;
    const aplomb_figure* figure = nullptr;
};

} // namespace

/// Heels strike at frames 0 and 14; feet leave 11 frames before they strike again; heels rise in the 5 before.
TEST_F(Shots, AWalkRollsFromHeelToBall) {
    const shot::Poses poses = poses_of("walk");
    aplomb_clip clip = poses.clip();
    ASSERT_EQ(clip.frame_count, 29);
    clip.ground_velocity[2] = -1.20 / 28 * 24;
    const shot::Reading reading = shot::read(figure, clip);
    EXPECT_EQ(stands(reading, APLOMB_SIDE_LEFT), "heel 0-2, flat 3-14, ball 15-18, heel 28-28");
    EXPECT_EQ(stands(reading, APLOMB_SIDE_RIGHT), "ball 0-4, heel 14-16, flat 17-28");
    for (const aplomb_stance_range& range : reading.stances())
        EXPECT_LT(range.slip, .01);
    // The right foot strikes at 14, but how long after the left one's strike before the clip, nobody knows.
    const std::vector<aplomb_foot_step> steps = reading.steps();
    ASSERT_EQ(steps.size(), 1u);
    EXPECT_EQ(steps[0].frame, 28);
    EXPECT_NEAR(steps[0].seconds, 14 / 24., 1e-6);
    EXPECT_NEAR(steps[0].implied_leg, .9 * std::pow(14 / 24. / .53, 2), 1e-5); // the file's times are floats
}

/// It goes over the log with its hips midway between its feet, and so it falls.
TEST_F(Shots, ACarryOverALogFallsTowardsTheLiftedFoot) {
    const shot::Poses poses = poses_of("carry");
    const shot::Reading reading = shot::read(figure, poses.clip());
    const std::vector<aplomb_clip_frame> frames = reading.frames();
    ASSERT_EQ(frames.size(), 241u);
    EXPECT_EQ(frames[150].contact_count, 1);
    EXPECT_LT(frames[150].still_margin, -.05);
    EXPECT_EQ(frames[230].in_balance, 1);
    EXPECT_GE(reading.falls().size(), 5u);
    EXPECT_TRUE(reading.flights().empty());
    const std::vector<aplomb_clip_note> notes = reading.notes(); // the worst first
    ASSERT_EQ(notes.size(), 3u);
    double before = INFINITY;
    for (const aplomb_clip_note& note : notes)
        for (const aplomb_fall_range& fall : reading.falls())
            if (fall.worst == note.frame) {
                EXPECT_LT(fall.short_of, before);
                before = fall.short_of;
            }
    EXPECT_LT(before, INFINITY);
}

/// Head, hands, elbows and free feet ride along with what is corrected without a jolt: as a foot lifts, and as arms that put a
/// box down are nearly straight.
TEST_F(Shots, WhatRidesAlongMovesEvenly) {
    const shot::Poses keyed = poses_of("carry");
    aplomb_carry carry{};
    ASSERT_EQ(aplomb_load_at(figure, 22, "hands", &carry.load, nullptr), APLOMB_OK);
    carry.load.offset[1] = .03, carry.load.offset[2] = .06;
    carry.first = 66, carry.last = 208, carry.pick_up = carry.put_down = std::nan("");
    aplomb_clip clip = keyed.clip();
    clip.carries = &carry, clip.carry_count = 1;
    const walk::Balanced out = walk::balance(figure, keyed, clip);
    const ridden::Ridden rides(figure, keyed, out.poses, shot::read(figure, clip).stances());
    rides.print("second differences over what is asked, the box carried");
    for (const ridden::Part& part : rides.parts())
        EXPECT_LT(part.worst, 1) << part.name << " at " << part.frame;
}

/// The honey box stands on a hive until its weight is the carrier's: hands hold it there as keyed, and come to it and leave
/// it without a step. A weight that comes over is no motion.
TEST_F(Shots, HandsTakeABoxWhereItStands) {
    const shot::Poses keyed = poses_of("carry");
    constexpr int taken = 66, stands = 208;
    aplomb_carry carry{};
    ASSERT_EQ(aplomb_load_at(figure, 22, "hands", &carry.load, nullptr), APLOMB_OK);
    carry.load.offset[1] = .03, carry.load.offset[2] = .06;
    carry.first = taken, carry.last = stands, carry.pick_up = carry.put_down = std::nan("");
    aplomb_clip clip = keyed.clip();
    clip.carries = &carry, clip.carry_count = 1;
    const walk::Balanced out = walk::balance(figure, keyed, clip);
    EXPECT_EQ(out.status, APLOMB_OK);
    EXPECT_GT(out.frames[taken + 1].margin_before, .1);

    aplomb_load middle; // of the hands
    EXPECT_EQ(aplomb_load_at(figure, 1, "hands", &middle, nullptr), APLOMB_OK);
    const auto hands = [&](const shot::Poses& poses) {
        std::vector<aplomb::Vec3> places;
        aplomb_solver* solver = nullptr;
        EXPECT_EQ(aplomb_solver_create(figure, nullptr, &solver, nullptr), APLOMB_OK);
        for (std::size_t f = 0; f < poses.times.size(); ++f) {
            aplomb_situation situation;
            aplomb_situation_init(&situation, sizeof situation);
            situation.translations = &poses.translations[f * poses.translations.size() / poses.times.size()];
            situation.rotations = &poses.rotations[f * poses.rotations.size() / poses.times.size()];
            situation.loads = &middle, situation.load_count = 1;
            aplomb_reading reading;
            aplomb_reading_init(&reading, sizeof reading);
            EXPECT_EQ(aplomb_read(solver, &situation, nullptr, &reading, nullptr), APLOMB_OK);
            const double* at = reading.load_centre[0];
            places.push_back({at[0], at[1], at[2]});
        }
        aplomb_solver_destroy(solver);
        return places;
    };
    std::vector<aplomb::Vec3> change = hands(out.poses);
    const std::vector<aplomb::Vec3> before = hands(keyed);
    for (std::size_t f = 0; f < change.size(); ++f)
        change[f] = change[f] - before[f];
    double worst[2] = {};
    for (const int end : {taken, stands}) {
        EXPECT_LT(norm(change[static_cast<std::size_t>(end)]), 1e-6) << end;
        double& most = worst[end == stands];
        for (auto f = static_cast<std::size_t>(end - 14); f < static_cast<std::size_t>(end + 14); ++f)
            most = std::max(most, norm(change[f + 1] + change[f - 1] - change[f] * 2));
    }
    aplomb_figure_info info;
    aplomb_figure_info_init(&info, sizeof info);
    aplomb_figure_describe(figure, &info, nullptr);
    std::printf("hands that take a box: second difference at most %.2f %% of leg, %.2f where it is put down, "
                "%.1f cm along "
                "at frame %d\n",
                100 * worst[0] / info.leg_length, 100 * worst[1] / info.leg_length,
                100 * norm(change[taken + 10]), taken + 10);
    // A thigh that comes up to the box over the log makes it give way in time.
    double all = 0;
    for (std::size_t f = 1; f + 1 < change.size(); ++f)
        all = std::max(all, norm(change[f + 1] + change[f - 1] - change[f] * 2));
    std::printf("in all frames %.2f %%\n", 100 * all / info.leg_length);
    EXPECT_LT(all, info.leg_length / 150);
    EXPECT_LT(worst[0], info.leg_length / 150);
    EXPECT_LT(worst[1], info.leg_length / 150);
    EXPECT_GT(norm(change[taken + 10]), .03);

    clip = out.poses.clip();
    clip.carries = &carry, clip.carry_count = 1;
    EXPECT_TRUE(shot::read(figure, clip).falls().empty());
}

/// Of the walk on the spot the ground's velocity is known; the carry goes over ground that rests, whatever is given.
TEST_F(Shots, TheGroundOfAWalkOnTheSpotIsFound) {
    const shot::Poses walks = poses_of("walk"), goes = poses_of("carry");
    aplomb_clip clip = walks.clip();
    double velocity[3] = {7, 7, 7};
    ASSERT_EQ(aplomb_clip_find_ground_velocity(figure, &clip, nullptr, velocity, nullptr), APLOMB_OK);
    EXPECT_NEAR(velocity[0], 0, .01);
    EXPECT_NEAR(velocity[1], 0, 1e-9);
    EXPECT_NEAR(velocity[2], -1.20 / 28 * 24, .02);
    clip = goes.clip();
    clip.ground_velocity[2] = -2;
    ASSERT_EQ(aplomb_clip_find_ground_velocity(figure, &clip, nullptr, velocity, nullptr), APLOMB_OK);
    for (const double part : velocity)
        EXPECT_EQ(part, 0);
    clip.frame_count = 2;
    aplomb_error error{};
    velocity[0] = 7;
    EXPECT_EQ(aplomb_clip_find_ground_velocity(figure, &clip, nullptr, velocity, &error), APLOMB_NO_SUPPORT);
    EXPECT_EQ(std::string(error.message),
              "No ground can be found under the clip's 2 frames: it takes a foot with "
              "a sole, and three frames.");
    EXPECT_EQ(velocity[0], 7);
    EXPECT_EQ(aplomb_clip_find_ground_velocity(figure, &clip, nullptr, nullptr, &error), APLOMB_BAD_ARGUMENT);
    EXPECT_EQ(aplomb_clip_find_ground_velocity(nullptr, &clip, nullptr, velocity, &error),
              APLOMB_BAD_ARGUMENT);
    EXPECT_EQ(std::string(error.message), "figure is NULL.");
}

/// Somebody who slides along over ground at rest shares no belt's velocity, only his own.
TEST_F(Shots, WhoeverGoesAlongIsOnNoBelt) {
    const shot::Poses walks = poses_of("walk");
    shot::Poses slides;
    const std::size_t joints = walks.translations.size() / 3 / walks.times.size();
    for (int f = 0; f < 20; ++f) {
        std::vector<double> translations(walks.translations.begin(),
                                         walks.translations.begin() + static_cast<long>(3 * joints)),
            rotations(walks.rotations.begin(), walks.rotations.begin() + static_cast<long>(4 * joints));
        translations[2] += 2 * f / 24.;
        slides.add(f / 24., translations, rotations);
    }
    const aplomb_clip clip = slides.clip();
    double velocity[3] = {7, 7, 7};
    ASSERT_EQ(aplomb_clip_find_ground_velocity(figure, &clip, nullptr, velocity, nullptr), APLOMB_OK);
    for (const double part : velocity)
        EXPECT_EQ(part, 0);
}

/// They come with the character, by the clip's key times.
TEST_F(Shots, TheFigureDescriptionCarriesStances) {
    const std::string path = testing::TempDir() + "aplomb_shots.figure.json";
    const auto opened = [&](int last) {
        std::ofstream(path) << R"({"aplomb_figure": 1, "stances": [
            {"clip": "walk", "joint": "left_foot", "footing": "heel", "first": 0, "last": 2},
            {"clip": "walk", "joint": "right_foot", "first": 14, "last": )"
                            << last << "}]}";
        aplomb_character_options options;
        aplomb_character_options_init(&options, sizeof options);
        options.description = path.c_str();
        aplomb_character* made = nullptr;
        aplomb_error error{};
        aplomb_character_open(APLOMB_SOURCE_DIR "/examples/beekeeper_shots.glb", &options, &made, &error);
        const std::string said = error.message;
        EXPECT_EQ(made == nullptr, said.find("stance 1 goes from frame 14 to 29") != std::string::npos)
            << said;
        return std::unique_ptr<aplomb_character, Close>(made);
    };
    const std::unique_ptr<aplomb_character, Close> described = opened(28);
    ASSERT_TRUE(described);
    const int32_t walk = aplomb_character_find_clip(described.get(), "walk");
    aplomb_stance_range ranges[2] = {};
    EXPECT_EQ(aplomb_character_stances(described.get(), walk, ranges, 1), 2);
    EXPECT_EQ(ranges[1].last, 0); // there was no room
    EXPECT_EQ(aplomb_character_stances(described.get(), walk, ranges, 2), 2);
    EXPECT_EQ(ranges[0].footing, APLOMB_ON_HEEL);
    EXPECT_EQ(ranges[0].last, 2);
    EXPECT_EQ(ranges[1].footing, APLOMB_FLAT);
    EXPECT_EQ(ranges[1].first, 14);
    EXPECT_NE(ranges[0].limb, ranges[1].limb);
    EXPECT_EQ(aplomb_character_stances(described.get(), 1 - walk, ranges, 2), 0);
    EXPECT_EQ(aplomb_character_stances(described.get(), -1, nullptr, 0), 0);
    EXPECT_EQ(opened(29), nullptr);
    std::remove(path.c_str());
}
