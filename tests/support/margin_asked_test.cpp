// SPDX-License-Identifier: MIT
// The margin asked for: a part of the sole, at most half of what the support can give, and what "in balance" means.
#include <gtest/gtest.h>

#include "reading/scene.h"

namespace {

using namespace lay;

/// A level rectangle about the hips' place on the ground, half its length fore and aft and half its breadth.
aplomb_reading on_rectangle(double length, double breadth) {
    Scene scene;
    const double ground = -scene.translations[1];
    const std::vector<double> points = {-breadth, ground, -length, breadth,  ground, -length,
                                        breadth,  ground, length,  -breadth, ground, length};
    return scene.patch(points).read();
}

TEST(MarginAsked, IsAtMostHalfOfTheGreatestMargin) {
    EXPECT_NEAR(on_rectangle(0.3, 0.01).margin_asked, 0.005, 1e-9);
    EXPECT_NEAR(on_rectangle(0.004, 0.2).margin_asked, 0.002, 1e-9);
    const aplomb_reading wide = on_rectangle(0.3, 0.3);
    EXPECT_GT(wide.margin_asked, 0.015); // 8 % of an adult's sole
    EXPECT_LT(wide.margin_asked, 0.025);
}

TEST(MarginAsked, InBalanceMeansThatMuch) {
    int inside_without_it = 0;
    for (double mass = 0; mass < 120; mass += 0.5) {
        const aplomb_reading r = Scene().load_in_front(mass, 0.5).read();
        EXPECT_EQ(r.in_balance != 0, r.margin >= r.margin_asked - 1e-9) << mass;
        inside_without_it += r.margin > 1e-6 && r.margin < r.margin_asked - 1e-6;
    }
    EXPECT_GT(inside_without_it, 0) << "no pose was on the brink";
}

} // namespace
