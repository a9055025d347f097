// SPDX-License-Identifier: MIT
// Every recorded clip and pose, where they are at hand: it loads, all that a body has is found in it without help,
// and it is read at every frame.
#include "recording.h"

#include <cstdio>

namespace {

using namespace recorded;

void expect_a_whole_body(const Recording& recording) {
    for (const aplomb_role role : {APLOMB_ROLE_HIPS, APLOMB_ROLE_SPINE, APLOMB_ROLE_NECK, APLOMB_ROLE_HEAD})
        EXPECT_TRUE(recording.has(role)) << aplomb_role_text(role);
    for (const aplomb_side side : {APLOMB_SIDE_LEFT, APLOMB_SIDE_RIGHT})
        for (const aplomb_role role : {APLOMB_ROLE_UPPER_ARM, APLOMB_ROLE_LOWER_ARM, APLOMB_ROLE_HAND,
                                       APLOMB_ROLE_THIGH, APLOMB_ROLE_SHANK, APLOMB_ROLE_FOOT})
            EXPECT_TRUE(recording.has(role, side)) << aplomb_side_text(side) << " " << aplomb_role_text(role);
    EXPECT_EQ(recording.info().limb_count, 4);
    EXPECT_EQ(recording.legs().size(), 2u);
    for (const int32_t leg : recording.legs())
        EXPECT_GE(recording.limb(leg).sole_point_count, 3);
}

/// A reading against what can be found of it without the library.
void expect_read(const Recording& recording, const Pose& pose, const aplomb_reading& reading) {
    const aplomb_figure_info info = recording.info();
    const Vec3 centre = recording.centre_of(recording.worlds(pose));
    EXPECT_LT(norm(centre - vector(reading.body_centre)), 1e-9 * info.stature);
    EXPECT_TRUE(reading.pressing);
    EXPECT_GE(reading.edge_count, 3);
    EXPECT_TRUE(std::isfinite(reading.margin));
    Vec3 below = vector(reading.balance_point) - centre; // gravity is straight down
    below[std::abs(info.up_axis) - 1] = 0;
    EXPECT_LT(norm(below), 1e-9 * info.stature);
    double shares = 0;
    for (int32_t c = 0; c < reading.contact_count; ++c)
        shares += reading.contacts[c].share;
    if (reading.margin > 0) {
        EXPECT_NEAR(shares, 1, 1e-9);
    }
}

} // namespace

TEST(Clips, AllRolesAreFoundWithoutHelp) {
    if (made::reference_is_missing()) GTEST_SKIP();
    for (const Clip& clip : clips) {
        SCOPED_TRACE(clip.file);
        expect_a_whole_body(Recording(clip.file));
    }
}

TEST(Clips, EveryFrameIsRead) {
    if (made::reference_is_missing()) GTEST_SKIP();
    std::size_t all = 0, in_balance = 0;
    for (const Clip& clip : clips) {
        SCOPED_TRACE(clip.file);
        const Recording recording(clip.file, clip.metres_per_unit);
        const std::vector<double> times = recording.times();
        EXPECT_EQ(times.size(), clip.frames);
        std::size_t here = 0;
        for (const double seconds : times) {
            SCOPED_TRACE(seconds);
            const Pose pose = recording.pose(0, seconds);
            const aplomb_reading reading = read(recording.solver(), pose.situation());
            expect_read(recording, pose, reading);
            here += static_cast<std::size_t>(reading.in_balance);
        }
        std::printf("%-32s in balance, were it still: %4zu of %4zu frames\n", clip.file, here, times.size());
        all += times.size(), in_balance += here;
    }
    EXPECT_EQ(all, 7979u); // SOURCES.md
    std::printf("all clips: %zu of %zu\n", in_balance, all);
}

/// Statures that SOURCES.md states, from the figure's own shape.
TEST(Clips, StaturesAreWhatTheyWere) {
    if (made::reference_is_missing()) GTEST_SKIP();
    for (const auto& [file, metres] : {std::pair("cmu_02_01", 1.71), std::pair("cmu_06_01", 1.75)}) {
        const Clip& c = clip(file);
        const Recording recording(c.file, c.metres_per_unit);
        EXPECT_NEAR(recording.info().stature * c.metres_per_unit, metres, .02) << file;
    }
}
