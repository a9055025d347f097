// SPDX-License-Identifier: MIT
// Recorded poses that carry nothing and are in balance come back bit for bit, where the recordings are at hand.
#include "recording.h"

#include <cstdio>

namespace {

using namespace recorded;

/// Returns whether the pose was in balance.
bool expect_untouched(const Recording& recording, const Pose& keyed) {
    const aplomb_situation situation = keyed.situation();
    if (!read(recording.solver(), situation).in_balance) return false;
    Pose pose = keyed;
    aplomb_result result;
    aplomb_result_init(&result, sizeof result);
    EXPECT_EQ(aplomb_balance(recording.solver(), &situation, nullptr, pose.translations.data(),
                             pose.rotations.data(), &result, nullptr),
              APLOMB_OK);
    EXPECT_EQ(result.changed, 0);
    EXPECT_EQ(std::memcmp(pose.translations.data(), keyed.translations.data(),
                          keyed.translations.size() * sizeof(double)),
              0);
    EXPECT_EQ(
        std::memcmp(pose.rotations.data(), keyed.rotations.data(), keyed.rotations.size() * sizeof(double)),
        0);
    return true;
}

} // namespace

TEST(Untouched, EveryFrameInBalanceOfEveryClip) {
    if (made::reference_is_missing()) GTEST_SKIP();
    int all = 0, in_balance = 0;
    for (const Clip& clip : clips) {
        const Recording recording(clip.file, clip.metres_per_unit);
        for (const double seconds : recording.times()) {
            SCOPED_TRACE(std::string(clip.file) + " " + std::to_string(seconds));
            ++all, in_balance += expect_untouched(recording, recording.pose(0, seconds));
        }
    }
    std::printf("clips: %d of %d poses are in balance, and came back as they were\n", in_balance, all);
    EXPECT_GE(in_balance, 3000);
}

TEST(Untouched, TheFiguresAsTheyStand) {
    if (made::reference_is_missing()) GTEST_SKIP();
    for (const char* file : {"human_male", "human_female", "human_base", "fox"}) {
        const Recording recording("figures/" + std::string(file) + ".glb",
                                  std::string(file) == "fox" ? .01 : 0);
        EXPECT_TRUE(expect_untouched(recording, recording.pose(-1, 0))) << file;
    }
    const Recording fox("figures/fox.glb", .01);
    int all = 0, in_balance = 0;
    for (int32_t clip = 0; clip < fox.clips(); ++clip)
        for (const double seconds : fox.times(clip))
            ++all, in_balance += expect_untouched(fox, fox.pose(clip, seconds));
    std::printf("fox: %d of %d keys\n", in_balance, all);
    EXPECT_GE(in_balance, 50);
}
