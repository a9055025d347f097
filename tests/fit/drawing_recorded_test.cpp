// SPDX-License-Identifier: MIT
// A few recorded frames as drawings, where the recordings are at hand. Many, with fresh seeds, by hand: drawing_numbers.
#include "fit/costly.h"
#include "fit/drawn_recording.h"

TEST(DrawnRecordings, AreFoundAgain) {
    if (made::reference_is_missing()) GTEST_SKIP();
    SKIP_WHERE_TOO_SLOW();
    const drawn::Score score = drawn::draw_clips({"02_01", "05_03", "12_01", "115"}, 1, 3, 4);
    EXPECT_EQ(score.kept.all, 12);
    EXPECT_EQ(score.fits.right, score.fits.all);
    EXPECT_GE(score.centre.right, score.centre.all - 1);
    EXPECT_GE(score.balance_given.right, score.balance_given.all - 1);
    // Twelve drawings are too few for a share: lifts, deep in the knees, are the hardest, and here a quarter of all.
    EXPECT_GE(score.kept.right, 10);
    EXPECT_GE(score.balance_said.right, score.balance_said.all - 1);
    EXPECT_GE(score.balance_said.all, score.balance.all * 3 / 4) << "little is left open";
}
