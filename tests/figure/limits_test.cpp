// SPDX-License-Identifier: MIT
// Joint limits: published numbers, and signs worked out by moving the limb and looking where it goes.
// Ranges: American Academy of Orthopaedic Surgeons 1965; neck and trunk 38 CFR 4.71a.
#include <cmath>

#include <gtest/gtest.h>

#include "capi/handles.h"
#include "figures.h"

namespace {

using namespace aplomb;
using lay::LayFigure;

const Vec3 down{0, -1, 0}, forward{0, 0, 1};

class LimitsTest : public ::testing::Test {
protected:
    const Limits& of(const char* joint) const { return figure->joints[description.find(joint)].limits; }

    LayFigure description = LayFigure::adult();
    lay::FigureHandle figure = description.create();
};

/// Degrees by which a unit vector turned about `axis` by `angle` rises or goes along `towards`.
Vec3 turned(int axis, double angle, const Vec3& v) {
    Vec3 r;
    r[axis] = angle;
    return rotate(exp_rotation(r), v);
}

TEST_F(LimitsTest, ThighSigns) {
    for (const double side : {1.0, -1.0}) {
        const Limits& thigh = of(side > 0 ? "left_thigh" : "right_thigh");
        // One end of each range is the larger motion; it must go the anatomical way.
        EXPECT_NEAR(turned(0, thigh.lowest.x, down).z, std::sin(120 * degree), 1e-12);  // flexion 120 forward
        EXPECT_NEAR(turned(0, thigh.highest.x, down).z, -std::sin(20 * degree), 1e-12); // extension 20 back
        const double out = side > 0 ? thigh.highest.z : thigh.lowest.z;
        const double in = side > 0 ? thigh.lowest.z : thigh.highest.z;
        EXPECT_NEAR(turned(2, out, down).x * side, std::sin(45 * degree), 1e-12); // abduction 45 outwards
        EXPECT_NEAR(turned(2, in, down).x * side, -std::sin(30 * degree), 1e-12); // adduction 30 inwards
    }
}

TEST_F(LimitsTest, UpperArmSigns) {
    for (const double side : {1.0, -1.0}) {
        const Limits& arm = of(side > 0 ? "left_upper_arm" : "right_upper_arm");
        EXPECT_NEAR(arm.lowest.x, -180 * degree, 1e-12);
        EXPECT_GT(turned(0, 0.5 * arm.lowest.x, down).z, 0.99); // halfway to flexion 180: straight forward
        EXPECT_NEAR(turned(0, arm.highest.x, down).z, -std::sin(60 * degree), 1e-12);
        const double out = side > 0 ? arm.highest.z : arm.lowest.z;
        EXPECT_GT(turned(2, 0.5 * out, down).x * side, 0.99); // halfway to abduction 180: straight out
        // External rotation 90 turns a forearm that points forward outwards, internal 70 inwards.
        const double external = side > 0 ? arm.highest.y : arm.lowest.y;
        const double internal = side > 0 ? arm.lowest.y : arm.highest.y;
        EXPECT_NEAR(turned(1, external, forward).x * side, 1, 1e-12);
        EXPECT_NEAR(turned(1, internal, forward).x * side, -std::sin(70 * degree), 1e-12);
    }
}

TEST_F(LimitsTest, AnkleSigns) {
    for (const double side : {1.0, -1.0}) {
        const Limits& foot = of(side > 0 ? "left_foot" : "right_foot");
        EXPECT_NEAR(turned(0, foot.lowest.x, forward).y, std::sin(20 * degree), 1e-12);   // toes up 20
        EXPECT_NEAR(turned(0, foot.highest.x, forward).y, -std::sin(50 * degree), 1e-12); // toes down 50
        // Inversion 35: the sole, which faces down, comes to face the other foot.
        const double inversion = side > 0 ? foot.lowest.z : foot.highest.z;
        EXPECT_NEAR(turned(2, inversion, down).x * side, -std::sin(35 * degree), 1e-12);
        const double eversion = side > 0 ? foot.highest.z : foot.lowest.z;
        EXPECT_NEAR(turned(2, eversion, down).x * side, std::sin(15 * degree), 1e-12);
    }
}

TEST_F(LimitsTest, HandSigns) {
    for (const double side : {1.0, -1.0}) {
        const Limits& hand = of(side > 0 ? "left_hand" : "right_hand");
        // The palm faces the body: flexion 80 takes the fingers inwards, extension 70 outwards.
        const double flexion = side > 0 ? hand.lowest.z : hand.highest.z;
        EXPECT_NEAR(turned(2, flexion, down).x * side, -std::sin(80 * degree), 1e-12);
        EXPECT_NEAR(turned(0, hand.lowest.x, down).z, std::sin(20 * degree), 1e-12); // radial, thumb forward
    }
}

TEST_F(LimitsTest, TrunkAndNeckAddUp) {
    Vec3 lowest, highest;
    for (int i = 0; i < 3; ++i) {
        lowest += figure->joints[figure->spine[i].joint].limits.lowest;
        highest += figure->joints[figure->spine[i].joint].limits.highest;
    }
    for (int axis = 0; axis < 3; ++axis) {
        EXPECT_NEAR(lowest[axis], -30 * degree, 1e-12);
        EXPECT_NEAR(highest[axis], (axis == 0 ? 90 : 30) * degree, 1e-12);
    }
    // Flexion 90 is forward: it brings the crown to the front.
    EXPECT_NEAR(turned(0, highest.x, {0, 1, 0}).z, 1, 1e-12);
    const Limits& neck = of("neck");
    EXPECT_NEAR(neck.highest.y, 80 * degree, 1e-12);
    EXPECT_NEAR(neck.lowest.x, -45 * degree, 1e-12);
}

TEST_F(LimitsTest, MiddleJoints) {
    const auto dog = LayFigure::quadruped().create();
    for (const Figure* each : {figure.get(), dog.get()}) {
        for (int32_t i = 0; i < each->limb_count; ++i) {
            const Limb& limb = each->limbs[i];
            EXPECT_NEAR(limb.least_bend, 1 * degree, 1e-12);
            const bool knee = each == figure.get() && limb.kind == APLOMB_LEG;
            EXPECT_NEAR(limb.most_bend, (knee ? 135 : 150) * degree, 1e-12);
            // The joint's own limits say the same about its hinge: they are the same numbers.
            const Limits& limits = each->joints[limb.lower].limits;
            EXPECT_EQ(limb.hinge.x > 0 ? limits.highest.x : -limits.lowest.x, limb.most_bend);
        }
    }
}

TEST_F(LimitsTest, OriginsAreTold) {
    EXPECT_EQ(figure->joints[description.find("left_thigh")].limit_origin, APLOMB_ORIGIN_PUBLISHED);
    EXPECT_EQ(figure->joints[description.find("left_toe")].limit_origin, APLOMB_ORIGIN_FROM_MEMORY);
    const auto dog = LayFigure::quadruped().create();
    for (int32_t j = 0; j < dog->joint_count; ++j)
        EXPECT_EQ(dog->joints[j].limit_origin, APLOMB_ORIGIN_FROM_MEMORY);
}

TEST_F(LimitsTest, GivenNumbersWinOneByOne) {
    std::vector<double> limits(6 * 22, std::nan(""));
    const size_t thigh = static_cast<size_t>(description.find("right_thigh"));
    const size_t knee = static_cast<size_t>(description.find("right_shank"));
    limits[6 * thigh + 1] = 0.1; // highest bend
    limits[6 * knee] = 0.2;
    limits[6 * knee + 1] = 1.0;
    aplomb_figure_desc desc = description.desc();
    desc.limits = limits.data();
    const auto given = LayFigure::create_figure(desc);
    EXPECT_EQ(given->joints[thigh].limits.highest.x, 0.1);
    EXPECT_NEAR(given->joints[thigh].limits.lowest.x, -120 * degree, 1e-12);
    EXPECT_EQ(given->joints[thigh].limit_origin, APLOMB_ORIGIN_GIVEN);
    for (int32_t i = 0; i < given->limb_count; ++i) {
        const Limb& limb = given->limbs[i];
        if (limb.lower != static_cast<int32_t>(knee)) continue;
        EXPECT_EQ(limb.least_bend, 0.2);
        EXPECT_EQ(limb.most_bend, 1.0);
    }
    aplomb_joint_info info;
    aplomb_joint_info_init(&info, sizeof info);
    ASSERT_EQ(aplomb_figure_joint(given.get(), static_cast<int32_t>(knee), &info, nullptr), APLOMB_OK);
    EXPECT_EQ(info.limits[0], 0.2);
    EXPECT_EQ(info.limits[1], 1.0);
}

} // namespace
