// SPDX-License-Identifier: MIT
// With two bearing feet a load takes home towards even shares; without one, home stays.
#include <gtest/gtest.h>

#include "balance/moment.h"

namespace {

/// Forward, of the adult on soft knees, the left foot this far ahead, under a box in front.
double home(double ahead, double mass, double heft = 1) {
    static const own::Character adult(lay::LayFigure::adult());
    const lay::Point foot = adult.shape.position(adult.find("left_foot"));
    own::Moment moment(adult.rest_pose().soft_knees(20).stand_on("left", {foot.x, foot.y, foot.z + ahead}));
    moment.loads = {aplomb_load_make(mass, adult.find("spine_3"))};
    moment.loads[0].offset[2] = .35;
    moment.options.heft = heft;
    const own::Answer answer = own::balance(adult, moment);
    EXPECT_GE(answer.status, 0) << answer.error.message;
    return answer.result.home[2];
}

TEST(EvenHome, AFootAheadTakesHomeForwardUnderALoad) {
    const double unloaded = home(.2, 0);
    double last = unloaded;
    for (const double mass : {5., 20., 45.}) {
        const double loaded = home(.2, mass);
        EXPECT_GT(loaded, last + .001) << mass;
        last = loaded;
    }
    EXPECT_LT(last, unloaded + .1); // never past the line midway between the soles
}

TEST(EvenHome, WithoutHeftItStays) {
    EXPECT_EQ(home(.2, 45, 0), home(.2, 0, 0));
}

TEST(EvenHome, ParallelFeetKeepIt) {
    EXPECT_NEAR(home(0, 45), home(0, 0), 1e-6);
}

} // namespace
