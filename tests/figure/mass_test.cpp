// SPDX-License-Identifier: MIT
#include <gtest/gtest.h>

#include <cmath>

#include "figure/mass_tables.h"
#include "figure/skeletons.h"

namespace {

using namespace aplomb_test;
using aplomb::MassTable;
using aplomb::Vec3;

double trunk_mass(const MassTable& t) {
    double sum = 0;
    for (int i = 0; i < t.trunk_count; ++i)
        sum += t.trunk[i].row.mass;
    return sum;
}

double body_mass(const MassTable& t) {
    return t.head.mass + trunk_mass(t) +
           2 * (t.upper_arm.mass + t.forearm.mass + t.hand.mass + t.thigh.mass + t.shank.mass + t.foot.mass);
}

// P. de Leva, J. Biomech. 29(9), 1996, table 4: the women's column sums to 99.99 %.
TEST(MassTables, DeLevaSums) {
    EXPECT_NEAR(body_mass(aplomb::mass_table(APLOMB_MASS_DE_LEVA_MALE)), 1.0000, 1e-12);
    EXPECT_NEAR(body_mass(aplomb::mass_table(APLOMB_MASS_DE_LEVA_FEMALE)), 0.9999, 1e-12);
    EXPECT_NEAR(trunk_mass(aplomb::mass_table(APLOMB_MASS_DE_LEVA_MALE)), 0.4346, 1e-12);
    EXPECT_NEAR(trunk_mass(aplomb::mass_table(APLOMB_MASS_DE_LEVA_FEMALE)), 0.4257, 1e-12);
}

// D. Winter, Biomechanics, 4th ed. 2009, table 4.1: .081 + .497 + 2 x .050 + 2 x .161.
TEST(MassTables, DempsterSums) {
    const MassTable& t = aplomb::mass_table(APLOMB_MASS_DEMPSTER);
    EXPECT_NEAR(body_mass(t), 1.000, 1e-12);
    EXPECT_NEAR(t.upper_arm.mass + t.forearm.mass + t.hand.mass, .050, 1e-12);
    EXPECT_NEAR(t.thigh.mass + t.shank.mass + t.foot.mass, .161, 1e-12);
}

// R. Jensen 1989, age 6: the printed parts sum to 100.2 %.
TEST(MassTables, ChildSums) {
    EXPECT_NEAR(body_mass(aplomb::mass_table(APLOMB_MASS_CHILD)), 1.002, 1e-12);
}

// Winter's example of a lower limb: markers in cm, centre of the limb (81.77, 58.37).
TEST(MassTables, WintersLowerLimb) {
    const MassTable& t = aplomb::mass_table(APLOMB_MASS_DEMPSTER);
    const Vec3 metatarsal = {101.1, 1.3, 0}, ankle = {84.9, 11.0, 0}, knee = {86.4, 54.9, 0},
               hip = {72.1, 92.8, 0};
    const auto at = [](const Vec3& from, const Vec3& to, double part) { return from + (to - from) * part; };
    const Vec3 sum = t.foot.mass * at(ankle, metatarsal, t.foot.centre) +
                     t.shank.mass * at(knee, ankle, t.shank.centre) +
                     t.thigh.mass * at(hip, knee, t.thigh.centre);
    const Vec3 centre = sum / (t.foot.mass + t.shank.mass + t.thigh.mass);
    EXPECT_NEAR(centre.x, 81.77, 0.01);
    EXPECT_NEAR(centre.y, 58.37, 0.01);
}

/// The standing figures of de Leva's table 4: heights of the joint centres in mm above the floor, segments
/// stacked upright.
struct Heights {
    double stature, c7, shoulder, elbow, wrist, hip, knee, ankle;
};
constexpr Heights man = {1741, 1498.1, 1410.3, 1128.6, 859.7, 894.8, 472.6, 32.3};
constexpr Heights woman = {1735, 1491.3, 1374.4, 1099.3, 835.0, 876.5, 508.0, 69.4};

Skeleton make_reference_body(const Heights& h) {
    Skeleton s;
    s.metres_per_unit = 0.001;
    const int32_t hips = s.add("hips", -1, 0, h.hip, 0);
    const int32_t spine = s.add("spine", hips, 0, h.hip + 200, 0);
    const int32_t chest = s.add("chest", spine, 0, h.hip + 400, 0);
    const int32_t neck = s.add("neck", chest, 0, h.c7, 0);
    const int32_t head = s.add("head", neck, 0, h.c7 + 80, 0);
    s.set_tip(head, 0, h.stature - h.c7 - 80, 0);
    for (const double side : {1.0, -1.0}) {
        const std::string mark = side > 0 ? "left_" : "right_";
        const int32_t upper = s.add(mark + "upper_arm", chest, 190 * side, h.shoulder, 0);
        const int32_t lower = s.add(mark + "forearm", upper, 190 * side, h.elbow, 0);
        s.add(mark + "hand", lower, 190 * side, h.wrist, 0);
        const int32_t thigh = s.add(mark + "thigh", hips, 85 * side, h.hip, 0);
        const int32_t shank = s.add(mark + "shin", thigh, 85 * side, h.knee, 0);
        const int32_t foot = s.add(mark + "foot", shank, 85 * side, h.ankle, 0);
        s.set_tip(foot, 0, -h.ankle, 190);
    }
    return s;
}

Built build_with(const Skeleton& s, aplomb_mass_table table, double total = 0) {
    aplomb_figure_desc desc;
    aplomb_figure_desc_init(&desc, sizeof desc);
    desc.mass_table = table;
    desc.total_mass = total;
    return Built(s, desc);
}

/// Height of the centre of mass over the ground, in the body's own floor (its ankles are where the table's
/// heights put them), as a part of the stature.
double standing_height(const Built& built, const Heights& h) {
    const double ankle = built.joint("left_foot").neutral_position.y;
    return (built.centre_of_mass().y - ankle + 0.001 * h.ankle) / (0.001 * h.stature);
}

// Computed from de Leva's table with the trunk as one piece: .5558 and .5544 of the stature. His three pieces
// of the trunk place its centre 3 mm lower in men, hence 1 in 1000.
TEST(Masses, CentreOfStandingBodies) {
    const Built male = build_with(make_reference_body(man), APLOMB_MASS_DE_LEVA_MALE);
    const Built female = build_with(make_reference_body(woman), APLOMB_MASS_DE_LEVA_FEMALE);
    ASSERT_EQ(male.status, APLOMB_OK) << male.error.message;
    ASSERT_EQ(female.status, APLOMB_OK) << female.error.message;
    EXPECT_NEAR(standing_height(male, man), .5558, .001);
    EXPECT_NEAR(standing_height(female, woman), .5544, .001);
    EXPECT_NEAR(male.centre_of_mass().x, 0, 1e-12);
}

/// Rise of the centre of mass when both arms turn from hanging to straight overhead.
double rise_of_arms(const Built& built) {
    double rise = 0;
    for (const std::string mark : {"left_", "right_"}) {
        const double shoulder = built.joint(mark + "upper_arm").neutral_position.y;
        for (const char* part : {"upper_arm", "forearm", "hand"}) {
            const aplomb::Joint& joint = built.joint(mark + part);
            const double centre = (joint.neutral_position + rotate(joint.neutral, joint.centre)).y;
            rise += joint.mass * 2 * (shoulder - centre);
        }
    }
    return rise / built.figure->total_mass;
}

TEST(Masses, ArmsOverheadRaiseTheCentre) {
    const Built male = build_with(make_reference_body(man), APLOMB_MASS_DE_LEVA_MALE);
    const Built female = build_with(make_reference_body(woman), APLOMB_MASS_DE_LEVA_FEMALE);
    EXPECT_NEAR(rise_of_arms(male) / 1.741, .0339, 1e-4);
    EXPECT_NEAR(rise_of_arms(female) / 1.735, .0296, 1e-4);
}

TEST(Masses, ReferenceBodyWeighsWhatTheTableSays) {
    // The table's ankle heights only close its stack; the ground that the figure stands on follows its sole.
    const Built male = build_with(make_reference_body(man), APLOMB_MASS_DE_LEVA_MALE);
    EXPECT_NEAR(male.figure->total_mass, 73.0 * std::pow(male.figure->stature / 1.741, 3), 1e-9);
    EXPECT_NEAR(male.figure->stature, 1.741, 0.05);
    const Built given = build_with(make_reference_body(man), APLOMB_MASS_DEMPSTER, 80);
    double sum = 0;
    for (int32_t j = 0; j < given.figure->joint_count; ++j)
        sum += given.figure->joints[j].mass;
    EXPECT_NEAR(sum, 80, 1e-12);
    EXPECT_NEAR(given.joint("left_thigh").mass, 8.0, 1e-12);
    EXPECT_EQ(given.joint("left_thigh").mass_origin, APLOMB_ORIGIN_PUBLISHED);
}

// Thigh, men: centre .4095 from the hip, radii .329 and .149 of 422.2 mm, mass .1416.
TEST(Masses, ThighIsTheTables) {
    const Built male = build_with(make_reference_body(man), APLOMB_MASS_DE_LEVA_MALE, 100);
    const aplomb::Joint& thigh = male.joint("left_thigh");
    EXPECT_NEAR(thigh.mass, 14.16, 1e-9);
    EXPECT_NEAR(norm(thigh.centre), .4095 * .4222, 1e-9);
    EXPECT_NEAR(thigh.inertia.xx, 14.16 * std::pow(.329 * .4222, 2), 1e-9);
    EXPECT_NEAR(thigh.inertia.yy, 14.16 * std::pow(.149 * .4222, 2), 1e-9);
}

/// Puts further joints on the way: the spine in five, thigh and forearm in two.
Skeleton make_split_body() {
    const Heights& h = man;
    Skeleton s;
    s.metres_per_unit = 0.001;
    int32_t trunk = s.add("hips", -1, 0, h.hip, 0);
    const int32_t hips = trunk;
    for (int i = 1; i <= 5; ++i)
        trunk = s.add("spine" + std::to_string(i), trunk, 0, h.hip + 80 * i, 0);
    const int32_t neck = s.add("neck", trunk, 0, h.c7, 0);
    const int32_t head = s.add("head", neck, 0, h.c7 + 80, 0);
    s.set_tip(head, 0, h.stature - h.c7 - 80, 0);
    for (const double side : {1.0, -1.0}) {
        const std::string mark = side > 0 ? "left_" : "right_";
        const int32_t upper = s.add(mark + "upper_arm", trunk, 190 * side, h.shoulder, 0);
        const int32_t lower = s.add(mark + "forearm", upper, 190 * side, h.elbow, 0);
        const int32_t twist =
            s.add(mark + "forearm_twist", lower, 190 * side, 0.4 * h.elbow + 0.6 * h.wrist, 0);
        s.add(mark + "hand", twist, 190 * side, h.wrist, 0);
        const int32_t thigh = s.add(mark + "thigh", hips, 85 * side, h.hip, 0);
        const int32_t split = s.add(mark + "thigh02", thigh, 85 * side, 0.7 * h.hip + 0.3 * h.knee, 0);
        const int32_t shank = s.add(mark + "shin", split, 85 * side, h.knee, 0);
        const int32_t foot = s.add(mark + "foot", shank, 85 * side, h.ankle, 0);
        s.set_tip(foot, 0, -h.ankle, 190);
    }
    return s;
}

TEST(Masses, MoreJointsChangeNeitherMassNorCentre) {
    for (const auto table :
         {APLOMB_MASS_DE_LEVA_MALE, APLOMB_MASS_DE_LEVA_FEMALE, APLOMB_MASS_DEMPSTER, APLOMB_MASS_CHILD}) {
        const Built plain = build_with(make_reference_body(man), table, 73);
        const Built split = build_with(make_split_body(), table, 73);
        ASSERT_EQ(split.status, APLOMB_OK) << split.error.message;
        EXPECT_LT(norm(plain.centre_of_mass() - split.centre_of_mass()), 1e-12);
        const double whole = plain.joint("left_thigh").mass;
        EXPECT_NEAR(split.joint("left_thigh").mass + split.joint("left_thigh02").mass, whole, 1e-12);
        EXPECT_GT(split.joint("left_thigh").mass, 0.2 * whole);
        EXPECT_GT(split.joint("left_thigh02").mass, 0.5 * whole);
        EXPECT_GT(split.joint("spine3").mass, 0);
    }
}

/// On two legs, trunk level or upright, with a tail of 1.2 m in so many joints.
Skeleton make_lizard(bool level, int tail_joints) {
    Skeleton s;
    const int32_t hips = s.add("hips", -1, 0, .9, 0);
    int32_t chest = s.add("spine", hips, 0, level ? .95 : 1.1, level ? .2 : 0);
    chest = s.add("chest", chest, 0, level ? 1 : 1.3, level ? .4 : 0);
    const double y = s.places.back().y, z = s.places.back().z;
    s.set_tip(s.add("head", s.add("neck", chest, 0, y + .15, z + .1), 0, y + .3, z + .2), 0, .05, .2);
    int32_t tail = hips;
    for (int i = 0; i < tail_joints; ++i)
        tail = s.add("tail", tail, 0, .9, -1.2 * i / tail_joints);
    s.set_tip(tail, 0, 0, -1.2 / tail_joints);
    for (const double side : {1.0, -1.0}) {
        const std::string mark = side > 0 ? "left_" : "right_";
        const int32_t arm = s.add(mark + "upper_arm", chest, .1 * side, y - .06, z + .03);
        s.add(mark + "hand", s.add(mark + "forearm", arm, .11 * side, y - .2, z), .11 * side, y - .25,
              z + .1);
        const int32_t shank =
            s.add(mark + "shin", s.add(mark + "thigh", hips, .12 * side, .88, 0), .13 * side, .55, .15);
        const int32_t foot = s.add(mark + "foot", shank, .13 * side, .2, -.05);
        s.set_tip(s.add(mark + "toe", foot, .13 * side, .04, .06), 0, -.04, .15);
    }
    return s;
}

double part_of_tail(const Built& built) {
    double tail = 0, all = 0;
    for (int32_t j = 0; j < built.figure->joint_count; ++j) {
        const aplomb::Joint& joint = built.figure->joints[j];
        all += joint.mass;
        if (joint.role == APLOMB_ROLE_TAIL) tail += joint.mass;
    }
    return tail / all;
}

// A lizard's tail weighs its trunk up, whatever the number of its joints; a tail on an upright body is slender.
TEST(Masses, ATailWeighsUpATrunkThatLeansOverTwoLegs) {
    const Built few(make_lizard(true, 2)), many(make_lizard(true, 9)), upright(make_lizard(false, 4));
    ASSERT_EQ(few.status, APLOMB_OK) << few.error.message;
    ASSERT_EQ(many.status, APLOMB_OK) << many.error.message;
    ASSERT_EQ(upright.status, APLOMB_OK) << upright.error.message;
    // A third of .9^2 of the trunk's .4346 over a length of 1.2 by .41 m.
    const double part = .81 / 3 * .4346 * 1.2 / std::sqrt(.4 * .4 + .1 * .1);
    EXPECT_NEAR(part_of_tail(few), part / (1 + part), 1e-6);
    EXPECT_NEAR(part_of_tail(many), part / (1 + part), 1e-6);
    EXPECT_NEAR(part_of_tail(upright), .02 / 1.02, 1e-6);
    EXPECT_LT(norm(few.centre_of_mass() - many.centre_of_mass()), .002);
    const double toes = few.joint("left_toe").neutral_position.z + .15;
    EXPECT_LT(few.centre_of_mass().z, toes);
    EXPECT_NE(few.remarks().find(
                  "Masses: the tail has 25 % of the body (by its length beside the trunk's, by eye)."),
              std::string::npos)
        << few.remarks();
}

TEST(Masses, InertiasArePossible) {
    const Built built = build_with(make_split_body(), APLOMB_MASS_DE_LEVA_MALE);
    for (int32_t j = 0; j < built.figure->joint_count; ++j) {
        const aplomb::Inertia& i = built.figure->joints[j].inertia;
        if (built.figure->joints[j].mass == 0) continue;
        EXPECT_GT(i.xx, 0) << built.figure->joints[j].name;
        EXPECT_GT(i.yy, 0) << built.figure->joints[j].name;
        EXPECT_GT(i.zz, 0) << built.figure->joints[j].name;
        EXPECT_LE(i.zz, i.xx + i.yy + 1e-12) << built.figure->joints[j].name;
        EXPECT_LE(i.xx, i.yy + i.zz + 1e-12) << built.figure->joints[j].name;
    }
}

TEST(Masses, GivenOnes) {
    const Skeleton s = make_biped(1.75);
    std::vector<double> masses(s.names.size(), 1.0);
    masses[static_cast<size_t>(s.find("chest"))] = 12.5;
    aplomb_figure_desc desc;
    aplomb_figure_desc_init(&desc, sizeof desc);
    desc.masses = masses.data();
    const Built built(s, desc);
    ASSERT_EQ(built.status, APLOMB_OK) << built.error.message;
    EXPECT_NEAR(built.figure->total_mass, 12.5 + static_cast<double>(s.names.size() - 1), 1e-12);
    const aplomb::Joint& shin = built.joint("left_shin");
    EXPECT_NEAR(shin.centre.y, -0.5 * (0.285 - 0.039) * 1.75, 1e-12); // the middle of the segment
    EXPECT_GT(shin.inertia.xx, 5 * shin.inertia.yy);
    EXPECT_EQ(shin.mass_origin, APLOMB_ORIGIN_GIVEN);
    EXPECT_STREQ(built.figure->mass_source, "given");
}

TEST(Masses, ToddlerHasAHeavyHead) {
    const Built child = build_with(make_biped(0.9), APLOMB_MASS_CHILD, 12);
    ASSERT_EQ(child.status, APLOMB_OK) << child.error.message;
    EXPECT_NEAR(child.joint("head").mass + child.joint("neck").mass, 12 * .182 / 1.002, 1e-9);
    EXPECT_NE(child.remarks().find("child"), std::string::npos);
}

// ---- Shared reference files ------------------------------------------------------------------------------

// All adult tables place the centre between .55 and .585 of the stature (de Leva: .55 to .57).
TEST(ReferenceMasses, HumansStandInTheKnownBand) {
    const struct {
        const char* file;
        double scale, low, high;
    } cases[] = {{"figures/human_male.glb", 1, .55, .585},
                 {"figures/human_female.glb", 1, .55, .585},
                 {"clips/cmu_02_01.bvh", 0.056444, .53, .585},
                 {"clips/cmu_12_01_other_rig.bvh", 0.01, .53, .585}};
    for (const auto& c : cases) {
        Skeleton s;
        if (!read_reference(c.file, s)) GTEST_SKIP() << c.file << " is missing";
        s.metres_per_unit = c.scale;
        const Built built(s);
        ASSERT_EQ(built.status, APLOMB_OK) << built.error.message;
        const double height = built.centre_of_mass().y / built.figure->stature;
        EXPECT_GT(height, c.low) << c.file;
        EXPECT_LT(height, c.high) << c.file;
    }
}

TEST(ReferenceMasses, FoxIsMarkedAsCommonPractice) {
    Skeleton s;
    if (!read_reference("figures/fox.glb", s)) GTEST_SKIP() << "fox.glb is missing";
    s.metres_per_unit = 0.01;
    const Built built(s);
    ASSERT_EQ(built.status, APLOMB_OK) << built.error.message;
    EXPECT_EQ(built.joint("b_Hip_01").mass_origin, APLOMB_ORIGIN_FROM_MEMORY);
    EXPECT_GT(built.joint("b_Tail02_013").mass, 0);
    EXPECT_NE(built.remarks().find("four-footed"), std::string::npos) << built.remarks();
    // Between hind and fore feet.
    const double z = built.centre_of_mass().z;
    EXPECT_GT(z, built.joint("b_LeftFoot02_018").neutral_position.z);
    EXPECT_LT(z, built.joint("b_LeftHand_011").neutral_position.z);
}

} // namespace
