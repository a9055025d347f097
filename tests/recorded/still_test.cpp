// SPDX-License-Identifier: MIT
// Moments at which a recorded body hardly moves, where the recordings are at hand: its balance point lies where a
// standing body's must. Moments are found by speed, of the soles' middles and of the centre of mass.
#include "motion.h"

#include <cstdio>

namespace {

using namespace recorded;

/// How many of some moments have their balance point inside the support area, and the least margin, metres.
struct Count {
    int all = 0, inside = 0;
    double least = 1e30;
    void add(const aplomb_reading& reading, const Clip& clip) {
        ++all, inside += reading.margin > 0;
        least = std::fmin(least, reading.margin * clip.metres_per_unit);
    }
    void print(const char* what, const char* stance) const {
        std::printf("%-32s %-22s inside %3d of %3d, least margin %5.1f cm\n", what, stance, inside, all,
                    100 * least);
    }
};

constexpr double slow = .10;        // m/s: nothing moves faster in quiet standing
constexpr double slow_foot = .20;   // m/s: it bears, as the capture has it
constexpr double one_leg_up = .30;  // m, of the lower foot's height below the other
constexpr double slow_enough = .35; // m/s, of the centre of mass on one leg
constexpr double still_foot = .15;  // m/s, of a foot on a tread

struct Standing {
    const char* part;
    int all;
};

} // namespace

TEST(Still, OnTwoFeetTheBalancePointIsInTheSupportArea) {
    if (made::reference_is_missing()) GTEST_SKIP();
    Count shown, flat;
    for (const Standing& s : {Standing{"02_04", 100}, {"02_06", 650}, {"13_11", 110}, {"13_35", 5}}) {
        const Clip& c = clip(s.part);
        const Recording recording(c.file, c.metres_per_unit);
        Count shown_here, flat_here;
        for (const Moment& m : moments_of(recording, c)) {
            if (!m.bears[0] || !m.bears[1] || m.foot_speed[0] > slow || m.foot_speed[1] > slow ||
                m.centre_speed > slow)
                continue;
            shown.add(m.reading, c), shown_here.add(m.reading, c);
            const aplomb_reading whole = read_flat(recording, m.pose, recording.legs());
            flat.add(whole, c), flat_here.add(whole, c);
        }
        EXPECT_GE(shown_here.all, s.all) << c.file;
        shown_here.print(c.file, "as the pose shows");
        flat_here.print(c.file, "on whole soles");
    }
    shown.print("all", "as the pose shows");
    flat.print("all", "on whole soles");
    EXPECT_EQ(flat.inside, flat.all);
    EXPECT_GT(flat.least, .03);
    EXPECT_GE(shown.inside, shown.all - 9); // heels that float 4 cm: only the balls count there
    EXPECT_GT(shown.least, -.035);
}

/// The arabesque: nothing in it is still. At the slowest the centre of mass goes at .22 m/s.
TEST(Still, OnOneLegTheBalancePointIsAtTheStandingFoot) {
    if (made::reference_is_missing()) GTEST_SKIP();
    const Clip& c = clip("05_03");
    const Recording recording(c.file, c.metres_per_unit);
    Count shown, flat;
    double furthest = 0;
    for (const Moment& m : moments_of(recording, c)) {
        const double up = lowest(m.soles[0]) - lowest(m.soles[1]);
        if (up < one_leg_up || m.foot_speed[1] > slow_foot || m.centre_speed > slow_enough) continue;
        EXPECT_TRUE(m.bears[1] && !m.bears[0]) << m.frame;
        shown.add(m.reading, c);
        const aplomb_reading whole = read_flat(recording, m.pose, {recording.legs()[1]});
        flat.add(whole, c);
        const Vec3 off = vector(whole.balance_point) * c.metres_per_unit - middle(m.soles[1]);
        furthest = std::fmax(furthest, std::hypot(off.x, off.z));
    }
    shown.print(c.file, "as the pose shows");
    flat.print(c.file, "on the whole sole");
    std::printf("%-32s at most %.1f cm from the middle of the sole\n", c.file, 100 * furthest);
    EXPECT_GE(flat.all, 40);
    EXPECT_GE(flat.inside, 20);
    EXPECT_GT(flat.least, -.03); // a third of the sole's breadth
    EXPECT_LT(furthest, .12);    // half the sole's length
}

/// On stairs each tread is level by itself: both soles count where they are, and the body stands between them.
TEST(Still, OnTwoTreadsTheBalancePointIsInTheSupportArea) {
    if (made::reference_is_missing()) GTEST_SKIP();
    for (const Standing& s : {Standing{"13_35", 35}, {"03_01", 15}}) {
        const Clip& c = clip(s.part);
        const Recording recording(c.file, c.metres_per_unit);
        const double still = s.all == 15 ? .25 : still_foot; // the other walks on without a stop
        Count shown, flat;
        for (const Moment& m : moments_of(recording, c)) {
            const double up = std::fabs(lowest(m.soles[0]) - lowest(m.soles[1]));
            if (up < .10 || m.foot_speed[0] > still || m.foot_speed[1] > still) continue;
            shown.add(m.reading, c);
            flat.add(read_flat(recording, m.pose, recording.legs()), c);
        }
        shown.print(c.file, "as the pose shows");
        flat.print(c.file, "on both whole soles");
        EXPECT_GE(flat.all, s.all);
        EXPECT_EQ(flat.inside, flat.all);
    }
}

/// Three steps up and three down again: where a foot is still, its sole lies on one of four levels, evenly apart.
TEST(Still, TheClimbedTreadsAreLevelAndEvenlyApart) {
    if (made::reference_is_missing()) GTEST_SKIP();
    const Clip& c = clip("13_35");
    const Recording recording(c.file, c.metres_per_unit);
    constexpr double rise = .195; // m, as found in the recording
    int at[4] = {0, 0, 0, 0}, all = 0, level = 0, on_it = 0;
    for (const Moment& m : moments_of(recording, c))
        for (std::size_t side = 0; side < 2; ++side) {
            if (m.foot_speed[side] > still_foot) continue;
            double highest = -1e30;
            for (const Vec3& p : m.soles[side])
                highest = std::fmax(highest, p.y);
            const double height = lowest(m.soles[side]), step = std::round(height / rise);
            ASSERT_TRUE(step >= 0 && step <= 3) << m.frame;
            ++all, ++at[static_cast<int>(step)];
            level += highest - height < .05; // a tilt of twelve degrees
            on_it += std::fabs(height - step * rise) < .03;
        }
    std::printf(
        "%s: %d still feet, %d %d %d %d on the four levels; %d tilted by under 5 cm, %d within 3 cm of "
        "a level\n",
        c.file, all, at[0], at[1], at[2], at[3], level, on_it);
    for (const int count : at)
        EXPECT_GE(count, 150);
    EXPECT_GE(level, all * 8 / 10); // the others leave a tread, heel up, or come down over its edge
    EXPECT_GE(on_it, all * 95 / 100);
}
