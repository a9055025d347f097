// SPDX-License-Identifier: MIT
// aplomb.hpp: ownership, spans, exceptions.
#include <aplomb/aplomb.hpp>

#include <gtest/gtest.h>

#include "figures.h"

namespace {

TEST(Wrapper, BalancesALoad) {
    lay::LayFigure shape = lay::LayFigure::adult();
    const aplomb::Figure figure(shape.desc());
    aplomb::Solver solver(figure);
    const aplomb::Pose keyed = figure.rest_pose();
    const int32_t hand = figure.find(APLOMB_ROLE_HAND, APLOMB_SIDE_RIGHT);
    ASSERT_EQ(hand, figure.find("right_hand"));
    const aplomb_load bucket[] = {aplomb_load_make(15, hand)};
    const aplomb::Correction made = solver.balance(aplomb::situation(keyed, bucket));
    EXPECT_EQ(made.status, APLOMB_OK);
    EXPECT_GT(made.result.controls.hips_shift[0], 0.005); // away from the load
    EXPECT_GT(solver.read(aplomb::situation(keyed)).margin, 0);
}

TEST(Wrapper, MakesLoadsByPlace) {
    lay::LayFigure shape = lay::LayFigure::adult();
    const aplomb::Figure figure(shape.desc());
    EXPECT_EQ(figure.load(20, "hands").holder[1], figure.find("right_hand"));
    EXPECT_THROW(figure.load(20, "moon"), aplomb::Error);
}

TEST(Wrapper, ThrowsTheLibrarysOwnSentence) {
    try {
        aplomb::Figure figure(aplomb::figure_desc());
        FAIL();
    } catch (const aplomb::Error& error) {
        EXPECT_LT(error.detail.status, 0);
        EXPECT_STREQ(error.what(), error.detail.message);
    }
}

} // namespace
