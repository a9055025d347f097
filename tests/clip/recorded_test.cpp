// SPDX-License-Identifier: MIT
// Clips of recorded people, where they are at hand: their stances at two frame rates, their balance point in motion,
// their flights.
#include "recorded_shot.h"

#include <cstdio>
#include <string>

namespace {

using namespace recorded;

struct Stand {
    int32_t limb, first, last;
};
/// Ranges of one foot that follow upon each other, as one.
std::vector<Stand> stands_of(const shot::Reading& reading) {
    std::vector<Stand> stands;
    for (const aplomb_stance_range& range : reading.stances()) {
        if (!stands.empty() && stands.back().limb == range.limb && stands.back().last + 1 == range.first)
            stands.back().last = range.last;
        else
            stands.push_back({range.limb, range.first, range.last});
    }
    return stands;
}

const char* const walks[] = {"cmu_02_01", "cmu_06_01", "cmu_07_04", "cmu_12_01", "cmu_03_01"};

} // namespace

/// No foot of a walk stands or swings for less than a third of a second, but where the recording begins or ends.
TEST(RecordedClips, StancesOfWalksDoNotFlip) {
    if (made::reference_is_missing()) GTEST_SKIP();
    for (const char* const name : walks)
        for (const std::size_t step : {std::size_t{1}, std::size_t{5}}) {
            SCOPED_TRACE(std::string(name) + ", every frame of " + std::to_string(step));
            const Recording recording(clip(name).file, clip(name).metres_per_unit);
            const shot::Poses poses = poses_of(recording, clip(name), step);
            const std::vector<Stand> stands = stands_of(shot::read(recording.figure(), poses.clip()));
            const int32_t last = static_cast<int32_t>(poses.times.size()) - 1;
            const auto seconds = [&](int32_t from, int32_t to) {
                return poses.times[static_cast<std::size_t>(to)] -
                       poses.times[static_cast<std::size_t>(from)];
            };
            EXPECT_GE(stands.size(), 5u);
            for (std::size_t k = 0; k < stands.size(); ++k) {
                if (stands[k].first > 0 && stands[k].last < last) {
                    EXPECT_GT(seconds(stands[k].first, stands[k].last), 1. / 3) << stands[k].first;
                }
                if (k > 0 && stands[k].limb == stands[k - 1].limb) {
                    EXPECT_GT(seconds(stands[k - 1].last, stands[k].first), 1. / 3) << stands[k].first;
                }
            }
        }
}

/// To one frame of the slower rate. A foot comes down between the frame before the range and its first.
TEST(RecordedClips, TwoFrameRatesReadTheSameStances) {
    if (made::reference_is_missing()) GTEST_SKIP();
    for (const char* const name : walks) {
        SCOPED_TRACE(name);
        const Recording recording(clip(name).file, clip(name).metres_per_unit);
        const std::vector<Stand> fast =
            stands_of(shot::read(recording.figure(), poses_of(recording, clip(name), 1).clip()));
        const std::vector<Stand> slow =
            stands_of(shot::read(recording.figure(), poses_of(recording, clip(name), 5).clip()));
        ASSERT_EQ(fast.size(), slow.size());
        for (std::size_t k = 0; k < fast.size(); ++k) {
            EXPECT_EQ(fast[k].limb, slow[k].limb);
            EXPECT_NEAR((fast[k].first - .5) / 5, slow[k].first - .5, 1) << fast[k].first;
            EXPECT_NEAR((fast[k].last + .5) / 5, slow[k].last + .5, 1) << fast[k].last;
        }
    }
}

TEST(RecordedClips, APartOfTheFootComesDownAndLeavesInItsOrder) {
    if (made::reference_is_missing()) GTEST_SKIP();
    for (const char* const name : {"cmu_02_01", "cmu_06_01", "cmu_07_04", "cmu_12_01"}) {
        SCOPED_TRACE(name);
        const Recording recording(clip(name).file, clip(name).metres_per_unit);
        const std::vector<aplomb_stance_range> ranges =
            shot::read(recording.figure(), poses_of(recording, clip(name), 1).clip()).stances();
        for (std::size_t k = 0; k < ranges.size(); ++k) {
            const bool follows =
                k > 0 && ranges[k - 1].limb == ranges[k].limb && ranges[k - 1].last + 1 == ranges[k].first;
            if (ranges[k].first == 0) continue;
            if (ranges[k].footing == APLOMB_ON_HEEL) {
                EXPECT_FALSE(follows) << ranges[k].first;
            }
            if (ranges[k].footing == APLOMB_FLAT) {
                EXPECT_TRUE(follows && ranges[k - 1].footing == APLOMB_ON_HEEL) << ranges[k].first;
            }
            if (ranges[k].footing == APLOMB_ON_BALL) {
                EXPECT_TRUE(follows && ranges[k - 1].footing == APLOMB_FLAT) << ranges[k].first;
            }
        }
    }
}

/// Of all frames on one foot of three good rigs.
TEST(RecordedClips, TheBalancePointInMotionRidesNearTheFoot) {
    if (made::reference_is_missing()) GTEST_SKIP();
    int all = 0, near = 0;
    for (const char* const name : {"cmu_02_01", "cmu_06_01", "cmu_07_04"}) {
        const Recording recording(clip(name).file, clip(name).metres_per_unit);
        int here = 0, inside = 0, still = 0;
        const double allowed = -.075 * recording.info().leg_length;
        for (const aplomb_clip_frame& f :
             shot::read(recording.figure(), poses_of(recording, clip(name), 1).clip()).frames()) {
            if (f.contact_count != 1 || f.near_end) continue;
            ++here, inside += f.margin > allowed, still += f.still_margin > allowed;
        }
        std::printf(
            "%s: within 7.5 %% of the leg in motion %.1f %%, as if still %.1f %% of %d frames on one foot\n",
            name, 100. * inside / here, 100. * still / here, here);
        all += here, near += inside;
    }
    EXPECT_GE(near, .95 * all);
}

TEST(RecordedClips, JumpsFallAsTheyShould) {
    if (made::reference_is_missing()) GTEST_SKIP();
    for (const char* const name : {"cmu_02_04", "cmu_13_11", "cmu_02_03"}) {
        const Recording recording(clip(name).file, clip(name).metres_per_unit);
        const shot::Poses poses = poses_of(recording, clip(name), 1);
        for (const aplomb_flight& flight : shot::read(recording.figure(), poses.clip()).flights()) {
            const double seconds = poses.times[static_cast<std::size_t>(flight.last)] -
                                   poses.times[static_cast<std::size_t>(flight.first)];
            std::printf("%s: frames %d to %d, %.2f s: g %.2f, off the arc by %.1f mm\n", name, flight.first,
                        flight.last, seconds, flight.gravity,
                        1000 * flight.deviation * clip(name).metres_per_unit);
            if (seconds >= .4) {
                EXPECT_NEAR(flight.gravity, 9.80665, .980665) << name;
                EXPECT_NEAR(flight.scale, 9.80665 / flight.gravity, 1e-12);
                EXPECT_EQ(flight.free_fall, 1);
            }
        }
    }
}

/// A foot that is set down on a step slides, and the body does not fall.
TEST(RecordedClips, ClimbingStepsIsNoFlight) {
    if (made::reference_is_missing()) GTEST_SKIP();
    const Recording recording(clip("cmu_13_35").file, clip("cmu_13_35").metres_per_unit);
    for (const std::size_t step : {std::size_t{1}, std::size_t{5}}) {
        const shot::Reading reading =
            shot::read(recording.figure(), poses_of(recording, clip("cmu_13_35"), step).clip());
        EXPECT_TRUE(reading.flights().empty()) << step;
        for (const aplomb_clip_frame& frame : reading.frames())
            EXPECT_GT(frame.contact_count, 0) << frame.time;
    }
}

/// Of a leap by a figure whose feet come down a frame or four apart.
TEST(RecordedClips, ALandingOnBothFeetIsNoStep) {
    if (made::reference_is_missing()) GTEST_SKIP();
    const Recording recording("zoo/big_head_mage.glb");
    for (int32_t clip = 0; clip < recording.clips(); ++clip) {
        if (recording.clip_name(clip) != "Jump_Full_Long") continue;
        shot::Poses poses;
        for (const double seconds : recording.times(clip)) {
            const Pose pose = recording.pose(clip, seconds);
            poses.add(seconds, pose.translations, pose.rotations);
        }
        const shot::Reading reading = shot::read(recording.figure(), poses.clip());
        EXPECT_GE(reading.flights().size(), 1u);
        for (const aplomb_foot_step& step : reading.steps())
            EXPECT_GE(step.seconds, .15);
        return;
    }
    FAIL() << "no such clip";
}
