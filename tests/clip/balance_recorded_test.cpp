// SPDX-License-Identifier: MIT
// Clips of recorded people are corrected, where they are at hand: every clip comes to an end, feet stay, and a walk in
// motion changes little.
#include "recorded_shot.h"
#include "walk.h"

#include <algorithm>
#include <cstdio>
#include <ctime>
#include <string>

using namespace recorded;

TEST(RecordedBalance, EveryClipComesToAnEnd) {
    if (made::reference_is_missing()) GTEST_SKIP();
    std::printf("clip, frames a second, key's acceleration: frames, corrected, short of it; hips aside, "
                "fore, up, %% of "
                "leg; second difference %% of leg in 1/24 s; steps; seconds\n");
    for (const char* const name :
         {"cmu_02_01", "cmu_06_01", "cmu_07_04", "cmu_12_01", "cmu_03_01", "cmu_02_03", "cmu_02_04",
          "cmu_13_11", "cmu_13_35", "cmu_05_03", "cmu_02_06"}) {
        const Clip* const found = &clip(name);
        const Recording recording(found->file, found->metres_per_unit);
        // At 120 frames a second two walks alone: the others take half a minute.
        const bool both = std::string(name) == "cmu_02_01" || std::string(name) == "cmu_06_01";
        for (const std::size_t step : {std::size_t{1}, std::size_t{5}})
            for (const double key : {1., 0.}) {
                if (step == 1 && !(both && key == 1)) continue;
                const shot::Poses poses = poses_of(recording, *found, step);
                aplomb_clip_balance_options options = walk::usual();
                options.key_acceleration = key;
                const std::clock_t start = std::clock();
                const walk::Balanced out = walk::balance(recording.figure(), poses, poses.clip(), options);
                const double seconds = static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC;
                double most[3] = {}, jump = 0;
                int corrected = 0, falls = 0, steps = 0, open = 0;
                const double leg = recording.info().leg_length, first = poses.times.front(),
                             last = poses.times.back();
                for (std::size_t f = 0; f < out.frames.size(); ++f) {
                    const auto& frame = out.frames[f];
                    corrected += frame.range >= 0, falls += frame.status == APLOMB_OUT_OF_REACH;
                    if (frame.time - first < .3 || last - frame.time < .3) continue;
                    for (int a = 0; a < 3; ++a) {
                        const double* x = frame.controls.hips_shift;
                        most[a] = std::max(most[a], std::fabs(x[a]) / leg);
                        const double h = frame.time - out.frames[f - 1].time;
                        jump = std::max(jump, std::fabs(x[a] - 2 * out.frames[f - 1].controls.hips_shift[a] +
                                                        out.frames[f - 2].controls.hips_shift[a]) /
                                                  (h * h * 24 * 24) / leg);
                    }
                }
                for (const auto& range : out.ranges)
                    steps = std::max(steps, range.steps), open += !range.converged;
                std::printf(
                    "%-10s %3.0f %.0f: %4zu %4d %3d; %5.1f %5.1f %5.1f; %5.2f; %2d of %zu (%d open); %.2f\n",
                    name, 1 / (poses.times[1] - poses.times[0]), key, out.frames.size(), corrected, falls,
                    100 * most[0], 100 * most[2], 100 * most[1], 100 * jump, steps, out.ranges.size(), open,
                    seconds);
                EXPECT_EQ(open, 0) << name;
                if (both && key == 1) {
                    EXPECT_LE(most[0], .03) << name;
                }
            }
    }
}

/// Who carries a bucket leans the trunk away from it; hips alone, over feet that stand, would tip the whole body as one board. A
/// walk that is cut off in a step is no body that comes to rest on that foot.
TEST(RecordedBalance, ABucketIsTheTrunksToCounter) {
    if (made::reference_is_missing()) GTEST_SKIP();
    const struct {
        const char* name;
        double least; // mean lean of the trunk over that of the legs
    } walks[] = {{"cmu_06_01", 1.8}, {"cmu_03_01", 2}, {"cmu_12_01", .75}};
    for (const auto& walk : walks) {
        const Clip& found = clip(walk.name);
        const Recording recording(found.file, found.metres_per_unit);
        const shot::Poses poses = poses_of(recording, found, 5);
        const double leg = recording.info().leg_length;
        for (const double mass : {0., 30.}) {
            aplomb_carry carry{};
            aplomb_clip given = poses.clip();
            if (mass > 0) {
                ASSERT_EQ(aplomb_load_at(recording.figure(), mass, "right-hand", &carry.load, nullptr),
                          APLOMB_OK);
                carry.load.offset[1] = -.3 / found.metres_per_unit;
                carry.last = given.frame_count - 1;
                given.carries = &carry, given.carry_count = 1;
            }
            const walk::Balanced out = walk::balance(recording.figure(), poses, given);
            aplomb_clip moved = out.poses.clip();
            moved.carries = given.carries, moved.carry_count = given.carry_count;
            const auto was = shot::read(recording.figure(), given).frames(),
                       is = shot::read(recording.figure(), moved).frames();
            double legs = 0, trunk = 0, most = 0, low = 1, high = -1;
            for (std::size_t f = 0; f < is.size(); ++f) {
                const double tip = std::atan(std::fabs(out.frames[f].controls.hips_shift[0]) / leg);
                legs += tip, most = std::max(most, tip);
                const double roll = out.frames[f].controls.hips_turn[2];
                low = std::min(low, roll), high = std::max(high, roll);
                trunk += std::fabs(is[f].trunk_side - was[f].trunk_side);
            }
            const double count = static_cast<double>(is.size()) * aplomb::degree;
            std::printf("%s with %2.0f kg: legs lean %.1f degrees, %.1f at most, the trunk %.1f; the pelvis "
                        "rolls %.1f\n",
                        walk.name, mass, legs / count, most / aplomb::degree, trunk / count,
                        (high - low) / aplomb::degree);
            EXPECT_LT(most, (mass > 0 ? 7.5 : 4.5) * aplomb::degree) << walk.name << " " << mass;
            if (mass > 0) {
                EXPECT_GT(trunk, walk.least * legs) << walk.name;
                EXPECT_GT(high - low, 5.6 * aplomb::degree) << walk.name; // to the free side, step by step
            }
        }
    }
}

/// Hand-keyed clips of a game's character who sits, lies, dodges and dies where nothing but feet can bear: most of it is
/// out of reach, and no answer goes past the limits of a correction.
TEST(RecordedBalance, WhatIsOutOfReachKeepsTheLimits) {
    if (made::reference_is_missing()) GTEST_SKIP();
    for (const char* const file : {"zoo/big_head_mage.glb", "zoo/knight_feet_apart.glb"}) {
        const Recording recording(file);
        const double leg = recording.info().leg_length;
        int corrected = 0, open = 0;
        for (int32_t clip = 0; clip < recording.clips(); ++clip) {
            shot::Poses poses;
            for (const double time : recording.times(clip)) {
                const Pose pose = recording.pose(clip, time);
                poses.add(time, pose.translations, pose.rotations);
            }
            const aplomb_clip given = poses.clip();
            const aplomb_clip_balance_options options = walk::usual();
            aplomb_clip_balance_result* result = nullptr;
            const aplomb_status status =
                aplomb_clip_balance(recording.figure(), &given, &options, nullptr, poses.translations.data(),
                                    poses.rotations.data(), &result, nullptr);
            if (status == APLOMB_NO_SUPPORT) continue; // a run on the spot whose ground is not told
            ++corrected;
            EXPECT_NE(status, APLOMB_NOT_CONVERGED) << recording.clip_name(clip);
            open += status == APLOMB_NOT_CONVERGED;
            int32_t count = 0;
            const aplomb_clip_balanced* frames = aplomb_clip_balanced_frames(result, &count);
            for (int32_t f = 0; f < count; ++f) {
                const double* shift = frames[f].controls.hips_shift;
                EXPECT_LT(norm(Vec3{shift[0], shift[1], shift[2]}), .301 * leg)
                    << recording.clip_name(clip) << " " << f;
            }
            aplomb_clip_balance_result_destroy(result);
        }
        std::printf("%s: %d corrected, %d not converged\n", file, corrected, open);
        EXPECT_GE(corrected, 7);
    }
}
