// SPDX-License-Identifier: MIT
// Setting a foot down or lifting it moves nothing at once, and a wish moves the aim to where it says.
#include <gtest/gtest.h>

#include <cmath>

#include "reading/scene.h"

namespace {

using namespace lay;

aplomb_reading with_bearing(double bearing) {
    Scene scene;
    scene.contact("left_foot", APLOMB_BEARING).contact("right_foot", APLOMB_BEARING);
    scene.contacts[1].bearing = bearing;
    return scene.read();
}

TEST(Ramp, BarelyBearingIsNotBearing) {
    const aplomb_reading none = with_bearing(0), barely = with_bearing(1e-6);
    ASSERT_EQ(none.contact_count, 1);
    ASSERT_EQ(barely.contact_count, 2);
    EXPECT_NEAR(none.margin, barely.margin, 1e-6);
    EXPECT_NEAR(none.margin_asked, barely.margin_asked, 1e-6);
    for (int axis = 0; axis < 3; ++axis) {
        EXPECT_NEAR(none.home[axis], barely.home[axis], 1e-5);
        EXPECT_NEAR(none.rest_point[axis], barely.rest_point[axis], 1e-5);
    }
}

TEST(Ramp, MarginHasNoJump) {
    double last = with_bearing(0).margin;
    for (double bearing = .01; bearing <= 1; bearing += .01) {
        const double margin = with_bearing(bearing).margin;
        EXPECT_LT(std::fabs(margin - last), .004) << bearing;
        last = margin;
    }
    EXPECT_GT(last, 0);
}

TEST(Ramp, AWishMovesHomeAcrossTheFeetAlone) {
    Scene scene;
    scene.contact("left_foot", APLOMB_BEARING).contact("right_foot", APLOMB_BEARING);
    const aplomb_reading evenly = scene.read();
    scene.contacts[0].share = .8;
    const aplomb_reading wished = scene.read();
    // Further than by the lever of the feet, 8 cm to each side: the outer edge of a sole bears more than the inner.
    EXPECT_GT(wished.home[0], .8 * .08 - .2 * .08);
    EXPECT_LT(wished.home[0], .08);
    EXPECT_NEAR(wished.home[2], evenly.home[2], .002);
}

// A pose in balance that carries nothing aims at where it is.
TEST(Ramp, UnloadedPoseInBalanceAimsAtItself) {
    const aplomb_reading r = Scene().bend(4 * degree).read();
    ASSERT_GT(r.margin, r.margin_asked);
    for (int axis = 0; axis < 3; ++axis)
        EXPECT_NEAR(r.rest_point[axis], r.balance_point[axis], 1e-12);
}

} // namespace
