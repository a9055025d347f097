// SPDX-License-Identifier: MIT
// The figures with skins, where they are at hand: roles without help, and every key of the fox's clips is read.
#include "recording.h"

#include <cstdio>

namespace {

using namespace recorded;

void expect_read(const Recording& recording, const Pose& pose) {
    const aplomb_reading reading = read(recording.solver(), pose.situation());
    const double size = recording.info().stature;
    EXPECT_LT(norm(recording.centre_of(recording.worlds(pose)) - vector(reading.body_centre)), 1e-9 * size);
    EXPECT_GE(reading.edge_count, 3);
    EXPECT_TRUE(std::isfinite(reading.margin));
}

} // namespace

TEST(Figures, PeopleAreWholeAndStand) {
    if (made::reference_is_missing()) GTEST_SKIP();
    // Statures: SOURCES.md.
    for (const auto& [file, metres] :
         {std::pair("human_male", 1.730), std::pair("human_female", 1.590), std::pair("human_base", 1.666)}) {
        SCOPED_TRACE(file);
        const Recording recording("figures/" + std::string(file) + ".glb");
        for (const aplomb_role role :
             {APLOMB_ROLE_HIPS, APLOMB_ROLE_SPINE, APLOMB_ROLE_NECK, APLOMB_ROLE_HEAD})
            EXPECT_TRUE(recording.has(role)) << aplomb_role_text(role);
        for (const aplomb_side side : {APLOMB_SIDE_LEFT, APLOMB_SIDE_RIGHT})
            for (const aplomb_role role :
                 {APLOMB_ROLE_GIRDLE, APLOMB_ROLE_UPPER_ARM, APLOMB_ROLE_LOWER_ARM, APLOMB_ROLE_HAND,
                  APLOMB_ROLE_THIGH, APLOMB_ROLE_SHANK, APLOMB_ROLE_FOOT, APLOMB_ROLE_TOE})
                EXPECT_TRUE(recording.has(role, side)) << aplomb_role_text(role);
        EXPECT_NEAR(recording.info().stature, metres, .02);
        const Pose pose = recording.pose(-1, 0);
        expect_read(recording, pose);
        const aplomb_reading reading = read(recording.solver(), pose.situation());
        EXPECT_TRUE(reading.in_balance);
        EXPECT_EQ(reading.contact_count, 2);
        std::printf("%-14s stature %.3f m, mass %.1f kg, margin %.1f cm\n", file, recording.info().stature,
                    reading.body_mass, 100 * reading.margin);
    }
}

TEST(Figures, TheFoxIsReadAtEveryKeyOfEveryClip) {
    if (made::reference_is_missing()) GTEST_SKIP();
    const Recording fox("figures/fox.glb", .01);
    EXPECT_TRUE(fox.has(APLOMB_ROLE_TAIL));
    EXPECT_EQ(fox.info().limb_count, 4);
    ASSERT_EQ(fox.clips(), 3);
    for (int32_t clip = 0; clip < 3; ++clip) {
        const std::vector<double> times = fox.times(clip);
        EXPECT_GE(times.size(), 10u);
        for (const double seconds : times) {
            SCOPED_TRACE(seconds);
            expect_read(fox, fox.pose(clip, seconds));
        }
        std::printf("fox: clip %d, %zu keys\n", clip, times.size());
    }
    expect_read(fox, fox.pose(-1, 0));
}
