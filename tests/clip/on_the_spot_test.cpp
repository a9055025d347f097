// SPDX-License-Identifier: MIT
// Stances of walks, runs and gallops on the spot: hops of a figure of ours, recorded walks that are put on the spot, and
// clips of the figures that game artists made, where they are at hand.
#include "figures.h"
#include "recorded_shot.h"

#include <cmath>
#include <cstdio>
#include <map>
#include <string>

namespace {

using namespace recorded;

struct Stand {
    int32_t limb, first, last;
};
/// Ranges of one foot that follow upon each other, as one.
std::vector<Stand> stands_of(const std::vector<aplomb_stance_range>& ranges) {
    std::vector<Stand> stands;
    for (const aplomb_stance_range& range : ranges) {
        if (!stands.empty() && stands.back().limb == range.limb && stands.back().last + 1 == range.first)
            stands.back().last = range.last;
        else
            stands.push_back({range.limb, range.first, range.last});
    }
    return stands;
}

constexpr double ground_speed = 4; // m/s, of the hops

/// Hops at 30 frames a second. In each of three frames the soles are down, and go at half, once and one and a half times
/// the ground's pace; `sinks`: and into the ground in the third.
shot::Poses hops(const aplomb_figure* figure, double sinks) {
    const auto joints = static_cast<std::size_t>(aplomb_figure_joint_count(figure));
    std::vector<double> translations(3 * joints), rotations(4 * joints);
    aplomb_figure_neutral_pose(figure, translations.data(), rotations.data());
    constexpr double step = ground_speed / 30;
    constexpr double along[] = {0, -.5 * step, -2 * step};
    shot::Poses poses;
    for (int f = 0; f < 39; ++f) {
        const int phase = f % 12;
        std::vector<double> moved = translations;
        if (phase < 3) {
            moved[1] -= phase == 2 ? sinks : 0;
            moved[2] += along[phase];
        } else {
            const double part = (phase - 2) / 10.;
            moved[1] += .9 * part * (1 - part);
            moved[2] += along[2] * (1 - part);
        }
        poses.add(f / 30., moved, rotations);
    }
    return poses;
}

} // namespace

TEST(OnTheSpot, FeetThatDoNotKeepTheGroundsPaceStand) {
    const lay::FigureHandle figure = lay::LayFigure::adult().create();
    for (const double sinks : {0., .06}) {
        const shot::Poses poses = hops(figure.get(), sinks);
        aplomb_clip clip = poses.clip();
        clip.ground_velocity[2] = -ground_speed;
        const std::vector<Stand> stands = stands_of(shot::read(figure.get(), clip).stances());
        ASSERT_EQ(stands.size(), 8u) << sinks;
        for (std::size_t k = 0; k < stands.size(); ++k) {
            const int start = 12 * (static_cast<int>(k) % 4);
            EXPECT_EQ(stands[k].first, start) << sinks;
            EXPECT_EQ(stands[k].last, start + 2) << sinks;
        }
    }
}

/// Whoever goes along with the ground, as on a cart, is not on the spot: a step on it is as one on ground at rest.
TEST(OnTheSpot, AStepOnACartIsAsOnGroundAtRest) {
    const lay::FigureHandle figure = lay::LayFigure::adult().create();
    const auto joints = static_cast<std::size_t>(aplomb_figure_joint_count(figure.get()));
    std::vector<double> translations(3 * joints), rotations(4 * joints);
    aplomb_figure_neutral_pose(figure.get(), translations.data(), rotations.data());
    shot::Poses carried;
    for (int f = 0; f < 72; ++f) { // from frame 24 to 48 it slides ahead on the cart
        std::vector<double> moved = translations;
        moved[2] += 6 * f / 24. + 2 * std::clamp((f - 24) / 24., 0., 1.);
        carried.add(f / 24., moved, rotations);
    }
    aplomb_clip clip = carried.clip();
    clip.ground_velocity[2] = 6;
    const std::vector<Stand> stands = stands_of(shot::read(figure.get(), clip).stances());
    ASSERT_EQ(stands.size(), 4u);
    for (std::size_t k = 0; k < 4; k += 2) {
        EXPECT_NEAR(stands[k].last, 24, 1);
        EXPECT_NEAR(stands[k + 1].first, 48, 1);
    }
}

/// Their hips taken back at their mean pace, over ground that comes towards them: to two frames of 24.
TEST(OnTheSpot, ARecordedWalkReadsAsWhereItWent) {
    if (made::reference_is_missing()) GTEST_SKIP();
    for (const char* const name : {"cmu_02_01", "cmu_06_01", "cmu_07_04", "cmu_12_01"})
        for (const std::size_t step : {std::size_t{1}, std::size_t{5}}) {
            SCOPED_TRACE(std::string(name) + ", every frame of " + std::to_string(step));
            const Recording recording(clip(name).file, clip(name).metres_per_unit);
            const shot::Poses went = poses_of(recording, clip(name), step);
            const std::size_t frames = went.times.size(), joints = went.translations.size() / frames;
            const double seconds = went.times.back() - went.times.front();
            shot::Poses stays = went;
            double velocity[3] = {};
            for (const std::size_t axis : {0u, 2u}) {
                velocity[axis] =
                    (went.translations[(frames - 1) * joints + axis] - went.translations[axis]) / seconds;
                for (std::size_t f = 0; f < frames; ++f)
                    stays.translations[f * joints + axis] -=
                        velocity[axis] * (went.times[f] - went.times.front());
            }
            aplomb_clip on_the_spot = stays.clip();
            for (int axis = 0; axis < 3; ++axis)
                on_the_spot.ground_velocity[axis] = -velocity[axis];
            const double near = 10. / static_cast<double>(step); // two frames of 24
            const auto inner = [&](const aplomb_clip& read) {
                std::vector<Stand> stands = stands_of(shot::read(recording.figure(), read).stances());
                std::erase_if(stands, [&](const Stand& stand) { // cut by the clip's ends
                    return stand.first <= 2 * near ||
                           stand.last >= static_cast<double>(frames) - 1 - 2 * near;
                });
                return stands;
            };
            const std::vector<Stand> there = inner(went.clip()), here = inner(on_the_spot);
            ASSERT_EQ(there.size(), here.size());
            for (std::size_t k = 0; k < there.size(); ++k) {
                EXPECT_EQ(there[k].limb, here[k].limb);
                EXPECT_NEAR(there[k].first, here[k].first, near);
                EXPECT_NEAR(there[k].last, here[k].last, near);
            }
        }
}

namespace {

shot::Poses poses_of(const Recording& recording, const std::string& clip) {
    int32_t number = 0;
    while (number < recording.clips() && recording.clip_name(number) != clip)
        ++number;
    shot::Poses poses;
    EXPECT_LT(number, recording.clips()) << clip;
    if (number == recording.clips()) return poses;
    for (const double seconds : recording.times(number)) {
        const Pose pose = recording.pose(number, seconds);
        poses.add(seconds, pose.translations, pose.rotations);
    }
    return poses;
}

} // namespace

/// Blows, leaps and rolls of a game character: its feet share velocities here and there, but nothing walks on the spot.
TEST(OnTheSpot, NoBeltIsUnderABodyThatGoesAbout) {
    if (made::reference_is_missing()) GTEST_SKIP();
    const Recording recording("zoo/big_head_mage.glb", 0);
    for (const char* name :
         {"Throw", "Dodge_Backward", "Dodge_Left", "Dualwield_Melee_Attack_Chop", "Sit_Floor_StandUp"}) {
        SCOPED_TRACE(name);
        const shot::Poses poses = poses_of(recording, name);
        aplomb_clip clip = poses.clip();
        ASSERT_EQ(aplomb_clip_find_ground_velocity(recording.figure(), &clip, nullptr, clip.ground_velocity,
                                                   nullptr),
                  APLOMB_OK);
        for (const double part : clip.ground_velocity)
            EXPECT_EQ(part, 0);
        EXPECT_FALSE(shot::read(recording.figure(), clip).stances().empty());
    }
}

/// Feet in the order of the figure's limbs, as somebody who looked at every frame would have them down, to one frame.
TEST(OnTheSpot, GaitsOfGameCharactersStand) {
    if (made::reference_is_missing()) GTEST_SKIP();
    struct Gait {
        const char *file, *clip;
        double metres_per_unit;
        std::vector<std::vector<std::pair<int, int>>> stands; // of each foot
    };
    const Gait gaits[] = {
        {"figures/fox.glb", "Walk", .01, {{{0, 2}, {13, 17}}, {{2, 11}}, {{2, 8}}, {{0, 2}, {11, 17}}}},
        {"figures/fox.glb", "Run", .01, {{{0, 4}}, {{3, 7}}, {{17, 18}}, {{11, 15}}}},
        {"zoo/knight_feet_apart.glb", "HumanArmature|Walking", 0, {{{15, 30}}, {{0, 18}}}},
        {"zoo/knight_feet_apart.glb", "HumanArmature|Run", 0, {{{16, 18}}, {{5, 7}}}},
        {"zoo/robot_feet_apart.glb", "Walking", 0, {{{0, 13}}, {{12, 23}}}},
        {"zoo/robot_feet_apart.glb", "Running", 0, {{{7, 9}}, {{18, 20}}}},
        {"zoo/cow.glb", "AnimalArmature|Walk", 0, {{{7, 23}}, {{0, 9}, {21, 28}}, {{13, 28}}, {{0, 15}}}},
        {"zoo/cow.glb", "AnimalArmature|Gallop", 0, {{{8, 12}}, {{6, 10}}, {{0, 2}}, {{13, 14}}}},
        {"zoo/husky.glb", "AnimalArmature|Walk", 0, {{{0, 9}, {22, 25}}, {{10, 22}}, {{0, 12}}, {{13, 25}}}},
        {"zoo/husky.glb", "AnimalArmature|Gallop", 0, {{{7, 9}}, {{8, 11}}, {{0, 5}}, {{3, 7}}}},
        {"zoo/big_head_mage.glb", "Walking_A", 0, {{{0, 20}}, {{1, 4}, {16, 31}}}},
        {"zoo/big_head_mage.glb", "Running_A", 0, {{{4, 6}}, {{16, 18}}}},
        {"zoo/big_head_mage.glb", "Running_B", 0, {{{2, 9}}, {{18, 25}}}},
    };
    for (const Gait& gait : gaits) {
        SCOPED_TRACE(std::string(gait.file) + " " + gait.clip);
        const Recording recording(gait.file, gait.metres_per_unit);
        const shot::Poses poses = poses_of(recording, gait.clip);
        aplomb_clip clip = poses.clip();
        ASSERT_EQ(aplomb_clip_find_ground_velocity(recording.figure(), &clip, nullptr, clip.ground_velocity,
                                                   nullptr),
                  APLOMB_OK);
        std::map<int32_t, std::vector<std::pair<int, int>>> found;
        for (const Stand& stand : stands_of(shot::read(recording.figure(), clip).stances()))
            found[stand.limb].push_back({stand.first, stand.last});
        std::printf("%s %s:", gait.file, gait.clip);
        ASSERT_EQ(found.size(), gait.stands.size());
        std::size_t foot = 0;
        for (const auto& [limb, stands] : found) {
            const auto& expected = gait.stands[foot++];
            ASSERT_EQ(stands.size(), expected.size()) << "foot " << foot;
            for (std::size_t k = 0; k < stands.size(); ++k) {
                std::printf(" %d-%d", stands[k].first, stands[k].second);
                EXPECT_NEAR(stands[k].first, expected[k].first, 1) << "foot " << foot;
                EXPECT_NEAR(stands[k].second, expected[k].second, 1) << "foot " << foot;
            }
            std::printf(foot < found.size() ? "," : "\n");
        }
    }
}
