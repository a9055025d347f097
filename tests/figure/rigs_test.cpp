// SPDX-License-Identifier: MIT
// Rigs as they are exported: ends that hang from the root, limbs by other names, names that are half known. Shapes
// are ours; which habits there are is common practice.
#include <gtest/gtest.h>

#include <array>
#include <cmath>

#include "figure/skeletons.h"
#include "figure/skin.h"

namespace {

using namespace aplomb_test;

const aplomb::Limb* limb_ending_at(const Built& built, const std::string& end) {
    const int32_t joint = aplomb_figure_find_joint(built.figure, end.c_str());
    for (int32_t i = 0; i < built.figure->limb_count; ++i)
        if (built.figure->limbs[i].end == joint) return &built.figure->limbs[i];
    return nullptr;
}

void expect_limb(const Built& built, const std::string& upper, const std::string& lower,
                 const std::string& end, aplomb_limb_kind kind, aplomb_side side) {
    const aplomb::Limb* limb = limb_ending_at(built, end);
    ASSERT_NE(limb, nullptr) << "no limb ends at " << end << "\n" << built.remarks();
    EXPECT_STREQ(built.figure->joints[limb->upper].name, upper.c_str());
    EXPECT_STREQ(built.figure->joints[limb->lower].name, lower.c_str());
    EXPECT_EQ(limb->kind, kind) << end;
    EXPECT_EQ(limb->side, side) << end;
    EXPECT_GT(limb->sole.point_count, kind == APLOMB_ARM ? -1 : 0) << end;
}

std::string sided(const char* stem, double side) {
    return std::string(stem) + (side > 0 ? ".L" : ".R");
}
aplomb_side side_of(double side) {
    return side > 0 ? APLOMB_SIDE_LEFT : APLOMB_SIDE_RIGHT;
}

/// A calf of 1.3 m at the back. Hind hooves, which lead their legs, hang from the root, and come first. In stride
/// the left one is so far ahead, and the right one so far back.
Skeleton make_calf(bool with_ends, double stride = 0) {
    Skeleton s;
    const int32_t root = s.add("Calf", -1, 0, 0, 0);
    for (const double side : {1.0, -1.0}) {
        const double ahead = side * stride;
        const int32_t hind = s.add(sided("IKBackLeg", side), root, side * .17, .12, -.72 + ahead);
        s.set_tip(s.add(sided("FFB", side), hind, side * .17, .04, -.69 + ahead), 0, -.04, .03);
        const int32_t fore = s.add(sided("IKFrontLeg", side), root, side * .18, .12, .58);
        s.set_tip(s.add(sided("FF", side), fore, side * .18, .04, .61), 0, -.04, .03);
        s.add(sided("PoleTarget", side), root, side * .18, .3, 1.4);
    }
    const int32_t body = s.add("Body", root, 0, .3, 0);
    const int32_t back = s.add("Back", body, 0, 1.2, -.7);
    const int32_t torso = s.add("Torso", back, 0, 1.1, -.4);
    const int32_t torso2 = s.add("Torso2", torso, 0, .95, .1);
    const int32_t torso3 = s.add("Torso3", torso2, 0, .95, .35);
    const int32_t neck = s.add("Neck1", torso3, 0, 1.0, .6);
    s.set_tip(s.add("Head", neck, 0, 1.25, .9), 0, -.2, .25);
    for (const double side : {1.0, -1.0}) {
        const int32_t shoulder = s.add(sided("FrontShoulder", side), torso2, side * .12, .78, .58);
        const int32_t upper = s.add(sided("FrontUpperLeg", side), shoulder, side * .18, .78, .58);
        const int32_t lower = s.add(sided("FrontLowerLeg", side), upper, side * .18, .38, .61);
        const int32_t hip = s.add(sided("BackShoulder", side), back, side * .07, .95, -.6);
        const int32_t thigh = s.add(sided("BackLeg", side), hip, side * .17, .96, -.6);
        const double ahead = side * stride;
        const int32_t shank = s.add(sided("BackUpperLeg", side), thigh, side * .17, .66, -.5 + .3 * ahead);
        const int32_t hock = s.add(sided("BackLowerLeg", side), shank, side * .17, .4, -.77 + .6 * ahead);
        if (!with_ends) continue;
        s.set_tip(lower, 0, .12 - .38, .58 - .61);
        s.set_tip(hock, 0, .12 - .4, -.72 + .77 + .4 * ahead);
    }
    const int32_t tail = s.add("Tail1", back, 0, 1.2, -.75);
    s.set_tip(s.add("Tail2", tail, 0, 1.0, -.9), 0, -.3, -.05);
    return s;
}

TEST(Rigs, HindLegsByOtherNamesOnHoovesThatHangFromTheRoot) {
    const Built built(make_calf(true));
    ASSERT_EQ(built.status, APLOMB_OK) << built.error.message;
    EXPECT_STREQ(built.figure->joints[built.figure->hips].name, "Back");
    EXPECT_STREQ(built.figure->joints[built.figure->head].name, "Head");
    EXPECT_EQ(built.figure->limb_count, 4);
    for (const double side : {1.0, -1.0}) {
        // The hock ends the leg: all below it is one piece with the hoof.
        expect_limb(built, sided("BackLeg", side), sided("BackUpperLeg", side), sided("BackLowerLeg", side),
                    APLOMB_LEG, side_of(side));
        expect_limb(built, sided("FrontUpperLeg", side), sided("FrontLowerLeg", side),
                    sided("IKFrontLeg", side), APLOMB_FORE_LEG, side_of(side));
    }
    EXPECT_NE(built.remarks().find("'IKFrontLeg.L' hangs from 'Calf' in the file; it is taken for the end of "
                                   "'FrontLowerLeg.L', which it meets."),
              std::string::npos)
        << built.remarks();
    EXPECT_EQ(built.joint("Tail2").role, APLOMB_ROLE_TAIL);
    EXPECT_EQ(built.joint("PoleTarget.L").role, APLOMB_ROLE_HELPER);
    EXPECT_STREQ(built.figure->mass_source, "a human table by role, fore legs as arms (common practice)");
}

/// A block of skin around each joint that moves some, and none around controls.
Skin skin_of(const Skeleton& s) {
    constexpr double half = .04;
    Skin skin;
    for (size_t j = 1; j < s.names.size(); ++j) {
        if (s.names[j].rfind("PoleTarget", 0) == 0) continue;
        const aplomb::Vec3& at = s.places[j];
        const int32_t first = static_cast<int32_t>(skin.positions.size() / 3);
        for (int i = 0; i < 8; ++i)
            skin.add(
                {at.x + (i & 1 ? half : -half), at.y + (i & 2 ? half : -half), at.z + (i & 4 ? half : -half)},
                static_cast<int32_t>(j));
        for (const auto& [a, b, c] : {std::array{0, 2, 1},
                                      {1, 2, 3},
                                      {4, 5, 6},
                                      {5, 7, 6},
                                      {0, 1, 4},
                                      {1, 5, 4},
                                      {2, 6, 3},
                                      {3, 6, 7},
                                      {0, 4, 2},
                                      {2, 4, 6},
                                      {1, 3, 5},
                                      {3, 7, 5}})
            skin.add_triangle(first + a, first + b, first + c);
    }
    return skin;
}

TEST(Rigs, WithoutEndsSkinOnTheGroundBelowAShankIsItsFootByAnyName) {
    Skeleton s = make_calf(false);
    for (const double side : {1.0, -1.0}) {
        const char* const names[][2] = {
            {"IKFrontLeg", "lead_1"}, {"FF", "x"}, {"IKBackLeg", "lead_2"}, {"FFB", "y"}};
        for (const auto& [from, to] : names)
            s.names[static_cast<size_t>(s.find(sided(from, side)))] = sided(to, side);
    }
    const Skin skin = skin_of(s);
    const aplomb_skin view = skin.view();
    aplomb_figure_desc desc;
    aplomb_figure_desc_init(&desc, sizeof desc);
    desc.skin = &view;
    const Built built(s, desc);
    ASSERT_EQ(built.status, APLOMB_OK) << built.error.message;
    EXPECT_EQ(built.figure->limb_count, 4) << built.remarks();
    for (const double side : {1.0, -1.0}) {
        expect_limb(built, sided("BackLeg", side), sided("BackUpperLeg", side), sided("BackLowerLeg", side),
                    APLOMB_LEG, side_of(side));
        expect_limb(built, sided("FrontUpperLeg", side), sided("FrontLowerLeg", side), sided("lead_1", side),
                    APLOMB_FORE_LEG, side_of(side));
    }
    EXPECT_NE(built.remarks().find("'lead_2.L' hangs from 'Calf' in the file; it is taken for the end of "
                                   "'BackLowerLeg.L', which leads to it."),
              std::string::npos)
        << built.remarks();
}

TEST(Rigs, LegsInStrideAreAPairWithoutNames) {
    for (const double stride : {0.0, .2}) {
        Skeleton s = make_calf(true, stride);
        const int32_t thigh = s.find("BackLeg.L"), other = s.find("BackLeg.R"),
                      fore = s.find("FrontUpperLeg.L");
        s.forget_names();
        const Built built(s);
        ASSERT_EQ(built.status, APLOMB_OK) << built.error.message;
        EXPECT_EQ(built.figure->limb_count, 4) << stride << "\n" << built.remarks();
        EXPECT_EQ(built.figure->joints[thigh].role, APLOMB_ROLE_THIGH) << stride;
        EXPECT_EQ(built.figure->joints[other].role, APLOMB_ROLE_THIGH) << stride;
        EXPECT_EQ(built.figure->joints[fore].role, APLOMB_ROLE_UPPER_ARM) << stride;
    }
}

/// Short legs on big feet with ankles high up, thighs cut in two, palms that hang from the elbow; no names.
TEST(Rigs, ByShapeAloneAnklesThighsAndPalmsAreFound) {
    Skeleton s;
    const int32_t hips = s.add("b0", -1, 0, .9, 0);
    const int32_t spine = s.add("b1", hips, 0, 1.1, 0);
    const int32_t chest = s.add("b2", spine, 0, 1.3, 0);
    const int32_t neck = s.add("b3", chest, 0, 1.5, 0);
    s.set_tip(s.add("b4", neck, 0, 1.6, 0), 0, .2, 0);
    struct Side {
        int32_t thigh, shin, ankle, arm, elbow;
    } sides[2];
    for (const int i : {0, 1}) {
        const double side = i == 0 ? 1 : -1;
        Side& found = sides[i];
        const int32_t pelvis = s.add("b", hips, side * .05, .9, 0);
        found.thigh = s.add("b", pelvis, side * .1, .86, 0);
        const int32_t half = s.add("b", found.thigh, side * .1, .82, 0);
        found.shin = s.add("b", half, side * .1, .47, .01);
        found.ankle = s.add("b", found.shin, side * .1, .24, 0);
        s.set_tip(s.add("b", found.ankle, side * .1, .05, .25), 0, -.02, .1);
        const int32_t girdle = s.add("b", chest, side * .12, 1.42, 0);
        found.arm = s.add("b", girdle, side * .16, 1.42, 0);
        found.elbow = s.add("b", found.arm, side * .2, 1.12, 0);
        for (const double aside : {-.03, 0.0, .03}) {
            const int32_t palm = s.add("b", found.elbow, side * .2, .88, aside);
            s.set_tip(s.add("b", palm, side * .2, .8, aside), 0, -.06, 0);
        }
    }
    s.add("cape", chest, 0, 1.14, -.05); // a leg below it is not its end
    const Skin skin = skin_of(s);
    const aplomb_skin view = skin.view();
    for (const aplomb_skin* own : {static_cast<const aplomb_skin*>(nullptr), &view}) {
        aplomb_figure_desc desc;
        aplomb_figure_desc_init(&desc, sizeof desc);
        desc.skin = own;
        const Built built(s, desc);
        ASSERT_EQ(built.status, APLOMB_OK) << built.error.message;
        const auto role = [&](int32_t joint) { return built.figure->joints[joint].role; };
        for (const Side& side : sides) {
            EXPECT_EQ(role(side.thigh), APLOMB_ROLE_THIGH) << "the first piece of it";
            EXPECT_EQ(role(side.shin), APLOMB_ROLE_SHANK);
            EXPECT_EQ(role(side.ankle), APLOMB_ROLE_FOOT);
            EXPECT_EQ(role(side.arm), APLOMB_ROLE_UPPER_ARM);
            EXPECT_EQ(role(side.elbow), APLOMB_ROLE_LOWER_ARM);
        }
    }
}

TEST(Rigs, OfFourLegsCalledLegsTheFrontOnesAreForeLegs) {
    Skeleton s = make_calf(true);
    for (const double side : {1.0, -1.0}) {
        const char* const names[][2] = {{"FrontUpperLeg", "Leg1A"}, {"FrontLowerLeg", "Leg1B"},
                                        {"BackLeg", "Leg2A"},       {"BackUpperLeg", "Leg2B"},
                                        {"BackLowerLeg", "Leg2C"},  {"FrontShoulder", "X1"},
                                        {"BackShoulder", "X2"}};
        for (const auto& [from, to] : names)
            s.names[static_cast<size_t>(s.find(sided(from, side)))] = sided(to, side);
    }
    const Built built(s);
    ASSERT_EQ(built.status, APLOMB_OK) << built.error.message;
    for (const double side : {1.0, -1.0}) {
        expect_limb(built, sided("Leg2A", side), sided("Leg2B", side), sided("Leg2C", side), APLOMB_LEG,
                    side_of(side));
        expect_limb(built, sided("Leg1A", side), sided("Leg1B", side), sided("IKFrontLeg", side),
                    APLOMB_FORE_LEG, side_of(side));
    }
}

/// A biped whose feet hang from the root, as exported from a rig whose feet lead its legs.
Skeleton make_feet_apart(bool with_ends, const char* foot) {
    Skeleton s;
    const int32_t root = s.add("Bone", -1, 0, 0, 0);
    s.set_tip(s.add(sided(foot, 1), root, .1, .08, 0), 0, -.06, .16);
    const int32_t body = s.add("Body", root, 0, .95, 0);
    const int32_t hips = s.add("Hips", body, 0, .97, 0);
    const int32_t abdomen = s.add("Abdomen", hips, 0, 1.1, 0);
    const int32_t torso = s.add("Torso", abdomen, 0, 1.25, 0);
    const int32_t neck = s.add("Neck", torso, 0, 1.5, 0);
    s.set_tip(s.add("Head", neck, 0, 1.58, .02), 0, .2, 0);
    for (const double side : {1.0, -1.0}) {
        const int32_t upper = s.add(sided("UpperArm", side), torso, side * .18, 1.42, 0);
        const int32_t lower = s.add(sided("LowerArm", side), upper, side * .2, 1.13, 0);
        const int32_t palm = s.add(sided("Palm", side), lower, side * .2, .87, .02);
        s.set_tip(palm, 0, -.15, 0);
        s.set_tip(s.add(sided("Thumb", -side), lower, side * .19, .86, .05), 0, -.05,
                  .03); // as in some files
        const int32_t thigh = s.add(sided("UpperLeg", side), body, side * .1, .9, 0);
        const int32_t shank = s.add(sided("LowerLeg", side), thigh, side * .1, .49, .01);
        if (with_ends) s.set_tip(shank, 0, .08 - .49, -.01);
    }
    s.set_tip(s.add(sided(foot, -1), root, -.1, .08, 0), 0, -.06, .16);
    s.add("PoleTarget.L", root, .1, .5, .6);
    return s;
}

TEST(Rigs, FeetThatHangFromTheRootBelongToTheirShanks) {
    for (const bool with_ends : {true, false}) {
        const Built built(make_feet_apart(with_ends, "Foot"));
        ASSERT_EQ(built.status, APLOMB_OK) << built.error.message;
        for (const double side : {1.0, -1.0}) {
            expect_limb(built, sided("UpperLeg", side), sided("LowerLeg", side), sided("Foot", side),
                        APLOMB_LEG, side_of(side));
            expect_limb(built, sided("UpperArm", side), sided("LowerArm", side), sided("Palm", side),
                        APLOMB_ARM, side_of(side));
        }
        EXPECT_STREQ(built.figure->joints[built.figure->hips].name, "Body");
        EXPECT_EQ(built.joint("Hips").role, APLOMB_ROLE_HELPER)
            << "one with the pelvis that the legs hang from";
        EXPECT_NEAR(built.figure->leg_length, .82, .01);
        EXPECT_EQ(aplomb_figure_doubt(built.figure, 0, nullptr), nullptr) << built.remarks();
    }
}

TEST(Rigs, ControlsThatMeetAFootWithoutCarryingItChangeNothing) {
    Skeleton s = make_biped(1.75);
    const Built plain(s);
    const aplomb::Vec3 ankle = s.places[static_cast<size_t>(s.find("left_foot"))];
    s.add("left_foot_control", 0, ankle.x, ankle.y, ankle.z);
    const Built built(s);
    ASSERT_EQ(built.status, APLOMB_OK) << built.error.message;
    EXPECT_EQ(built.figure->apart_count, 0);
    EXPECT_EQ(built.joint("left_foot_control").role, APLOMB_ROLE_HELPER);
    EXPECT_EQ(built.figure->limb_count, plain.figure->limb_count);
}

TEST(Rigs, WhereNamesAreHalfKnownTheShapeTellsTheLimb) {
    Skeleton s = make_biped(1.75);
    const char* const names[][2] = {{"left_upper_arm", "oarm_li"},    {"left_forearm", "uarm_li"},
                                    {"left_hand", "hand_li"},         {"right_upper_arm", "oarm_re"},
                                    {"right_forearm", "uarm_re"},     {"right_hand", "hand_re"},
                                    {"left_clavicle", "schulter_li"}, {"right_clavicle", "schulter_re"}};
    const Built plain(s);
    for (const auto& [from, to] : names)
        s.names[static_cast<size_t>(s.find(from))] = to;
    const Built built(s);
    ASSERT_EQ(built.status, APLOMB_OK) << built.error.message;
    for (int32_t j = 0; j < built.figure->joint_count; ++j) {
        EXPECT_EQ(built.figure->joints[j].role, plain.figure->joints[j].role) << built.figure->joints[j].name;
        EXPECT_EQ(built.figure->joints[j].side, plain.figure->joints[j].side) << built.figure->joints[j].name;
    }
}

TEST(Rigs, AShoulderAboveAnArmByAnotherNameIsItsGirdle) {
    // Arms straight out, so that no bend tells where the shoulder ends.
    Skeleton s = make_biped(1.75);
    for (const char* name :
         {"left_upper_arm", "left_forearm", "left_hand", "right_upper_arm", "right_forearm", "right_hand"}) {
        double* t = s.translations.data() + 3 * s.find(name);
        t[0] = std::hypot(t[0], t[1], t[2]) * (name[0] == 'l' ? 1 : -1);
        t[1] = t[2] = 0;
    }
    const Built plain(s);
    for (const char* forearm : {"_uarm", "_forearm"}) {
        Skeleton renamed = s;
        for (const std::string side : {"left", "right"}) {
            const std::string names[][2] = {
                {"_clavicle", "_shoulder"}, {"_upper_arm", "_oarm"}, {"_forearm", forearm}};
            for (const auto& [from, to] : names)
                renamed.names[static_cast<size_t>(s.find(side + from))] = side + to;
        }
        const Built built(renamed);
        ASSERT_EQ(built.status, APLOMB_OK) << built.error.message;
        for (int32_t j = 0; j < built.figure->joint_count; ++j)
            EXPECT_EQ(built.figure->joints[j].role, plain.figure->joints[j].role)
                << built.figure->joints[j].name;
    }
}

TEST(Rigs, ALimbThatNamesTellOnOneSideIsFoundOnTheOther) {
    Skeleton s = make_biped(1.75);
    const Built plain(s);
    for (const char* name : {"right_clavicle", "right_upper_arm", "right_forearm", "right_hand"})
        s.names[static_cast<size_t>(s.find(name))] = std::string("b") + name[6];
    const Built built(s);
    ASSERT_EQ(built.status, APLOMB_OK) << built.error.message;
    EXPECT_EQ(built.figure->limb_count, plain.figure->limb_count) << built.remarks();
    expect_limb(built, "bu", "bf", "bh", APLOMB_ARM, APLOMB_SIDE_RIGHT);
}

TEST(Rigs, ALimbOnOneSideOnlyIsSaid) {
    Skeleton s = make_biped(1.75);
    for (const char* name : {"right_upper_arm", "right_forearm", "right_hand"})
        s.translations[3 * static_cast<size_t>(s.find(name))] = 0,
                           s.translations[3 * static_cast<size_t>(s.find(name)) + 1] = 0;
    const Built built(s);
    ASSERT_EQ(built.status, APLOMB_OK) << built.error.message;
    EXPECT_NE(
        built.remarks().find("No right arm was found: where there is one, give its joints their roles."),
        std::string::npos)
        << built.remarks();
}

/// Trunk joints numbered on from a tail, as in rigs that are drawn up from one chain of bones.
TEST(Rigs, ATailThatIsCalledSpineIsNoTrunk) {
    Skeleton s;
    const int32_t pelvis = s.add("spine.004", -1, 0, .6, -.4);
    int32_t tail = s.add("spine.003", pelvis, 0, .58, -.45);
    tail = s.add("spine.002", tail, 0, .5, -.7);
    s.set_tip(tail, 0, -.1, -.25);
    const int32_t loin = s.add("spine.005", pelvis, 0, .6, -.25);
    const int32_t back = s.add("spine.006", loin, 0, .6, -.05);
    const int32_t withers = s.add("spine.008", back, 0, .62, .2);
    const int32_t neck = s.add("spine.010", withers, 0, .7, .4);
    const int32_t skull = s.add("spine.011", neck, 0, .85, .55);
    s.set_tip(s.add("spine.013", skull, 0, .8, .6), 0, -.05, .15);
    s.set_tip(s.add("spine.014", skull, 0, .88, .6), 0, -.02, .2);
    for (const double side : {1.0, -1.0}) {
        s.set_tip(s.add(sided("Ears", side), skull, side * .06, .95, .55), side * .02, .1, 0);
        const int32_t thigh = s.add(sided("thigh", side), loin, side * .1, .56, -.35);
        const int32_t shin = s.add(sided("shin", side), thigh, side * .1, .36, -.28);
        const int32_t foot = s.add(sided("foot", side), shin, side * .1, .22, -.44);
        s.set_tip(s.add(sided("toe", side), foot, side * .1, .05, -.4), 0, -.04, .1);
        const int32_t shoulder = s.add(sided("shoulder", side), withers, side * .05, .68, .25);
        const int32_t upper = s.add(sided("front_thigh", side), shoulder, side * .1, .5, .3);
        const int32_t lower = s.add(sided("front_shin", side), upper, side * .1, .34, .2);
        const int32_t paw = s.add(sided("front_foot", side), lower, side * .1, .12, .2);
        s.set_tip(s.add(sided("front_toe", side), paw, side * .1, .05, .24), 0, -.04, .1);
    }
    const Built built(s);
    ASSERT_EQ(built.status, APLOMB_OK) << built.error.message;
    const auto name = [&](int32_t joint) { return joint < 0 ? "none" : built.figure->joints[joint].name; };
    EXPECT_STREQ(name(built.figure->hips), "spine.004");
    EXPECT_STREQ(name(built.figure->head), "spine.011");
    EXPECT_STREQ(name(built.figure->chest), "spine.008");
    EXPECT_EQ(built.joint("spine.005").role, APLOMB_ROLE_HELPER) << "the legs hang from it";
    EXPECT_EQ(built.joint("spine.006").role, APLOMB_ROLE_SPINE);
    EXPECT_EQ(built.joint("spine.010").role, APLOMB_ROLE_NECK);
    EXPECT_EQ(built.joint("spine.003").role, APLOMB_ROLE_TAIL);
    EXPECT_EQ(built.joint("spine.002").role, APLOMB_ROLE_TAIL);
    EXPECT_EQ(built.figure->limb_count, 4);
    for (int32_t i = 0; i < built.figure->limb_count; ++i)
        EXPECT_TRUE(built.figure->limbs[i].sole.is_paw) << "it stands on its toes";
}

// Where the neck and the head are called spine, too, they are what lies beyond the arms.
TEST(Rigs, ATrunkThatIsCalledSpineUpToTheCrownHasANeckAndAHead) {
    Skeleton s = make_biped(1.75);
    const Built plain(s);
    for (size_t j = 0; j < s.names.size(); ++j) {
        const aplomb_role role = plain.figure->joints[j].role;
        if (role == APLOMB_ROLE_HIPS || role == APLOMB_ROLE_SPINE || role == APLOMB_ROLE_NECK ||
            role == APLOMB_ROLE_HEAD)
            s.names[j] = "spine.00" + std::to_string(j);
    }
    const Built built(s);
    ASSERT_EQ(built.status, APLOMB_OK) << built.error.message;
    for (int32_t j = 0; j < built.figure->joint_count; ++j)
        EXPECT_EQ(built.figure->joints[j].role, plain.figure->joints[j].role) << plain.figure->joints[j].name;
}

TEST(Rigs, AToeByANameThatSaysNothingIsAToe) {
    Skeleton s = make_biped(1.75);
    const Built plain(s);
    for (std::string& name : s.names)
        if (name.find("toes") != std::string::npos) name = name.substr(0, name.find("toes")) + "orteil";
    const Built built(s);
    ASSERT_EQ(built.status, APLOMB_OK) << built.error.message;
    for (int32_t j = 0; j < built.figure->joint_count; ++j)
        EXPECT_EQ(built.figure->joints[j].role, plain.figure->joints[j].role) << plain.figure->joints[j].name;
}

// Panels of a skirt all around, without names: neither arms nor fore legs nor a tail. To the knee, and to the ground.
TEST(Rigs, ANamelessSkirtIsCloth) {
    for (const double hem : {.45, .03}) {
        Skeleton s = make_biped(1.75);
        const Built plain(s);
        const aplomb::Vec3 at = s.places[0];
        const auto body = static_cast<int32_t>(s.names.size());
        constexpr int panels = 8, rows = 4;
        for (int k = 0; k < panels; ++k) {
            const double angle = 2 * aplomb::pi * k / panels;
            for (int row = 0, parent = 0; row < rows; ++row) {
                const double out = .14 + .08 * row;
                parent =
                    s.add("cloth", parent, out * std::sin(angle),
                          at.y - .05 - (at.y - .05 - hem) * row / (rows - 1), at.z + out * std::cos(angle));
            }
        }
        s.forget_names();
        const Built built(s);
        ASSERT_EQ(built.status, APLOMB_OK) << built.error.message;
        for (int32_t j = 0; j < built.figure->joint_count; ++j)
            EXPECT_EQ(built.figure->joints[j].role,
                      j < body ? plain.figure->joints[j].role : APLOMB_ROLE_HELPER)
                << j << " with the hem at " << hem;
    }
}

// ---- What makes a figure doubtful ------------------------------------------------------------------------

std::string doubts_of(const aplomb_figure* figure) {
    std::string text;
    for (int32_t i = 0; const char* doubt = aplomb_figure_doubt(figure, i, nullptr); ++i)
        text += std::string(doubt) + "\n";
    return text;
}

TEST(Doubts, AreThoseOfUnitMassSpansAndStanding) {
    const Built sound(make_biped(1.75));
    EXPECT_EQ(doubts_of(sound.figure), "");
    EXPECT_EQ(aplomb_figure_doubt(nullptr, 0, nullptr), nullptr);
    EXPECT_EQ(aplomb_figure_doubt(sound.figure, -1, nullptr), nullptr);

    const Built centimetres(make_biped(175));
    EXPECT_NE(doubts_of(centimetres.figure).find("The figure is 175 m tall: if it is not, give its unit"),
              std::string::npos)
        << doubts_of(centimetres.figure);
    const struct {
        double stature;
        const char* hint;
    } units[] = {
        {175, "in centimetres it would be 0.01."},       {1750, "in millimetres it would be 0.001."},
        {68.9, "in inches it would be 0.0254."},         {5.74, "in feet it would be 0.3048."},
        {0.00175, "with 1000 it would be 1.75 m tall."}, {175000, "with 1e-05 it would be 1.75 m tall."}};
    for (const auto& [stature, hint] : units) {
        const Built built(make_biped(stature));
        EXPECT_NE(doubts_of(built.figure).find(hint), std::string::npos) << doubts_of(built.figure);
    }

    aplomb_figure_desc desc;
    aplomb_figure_desc_init(&desc, sizeof desc);
    desc.total_mass = 5000;
    const Built heavy(make_biped(1.75), desc);
    EXPECT_NE(doubts_of(heavy.figure).find("The body's mass, 5000 kg, is 9"), std::string::npos)
        << doubts_of(heavy.figure);

    Skeleton s = make_biped(1.75);
    s.translations[3 * static_cast<size_t>(s.find("left_shin")) + 1] *= 0.02;
    const Built stub(s);
    ASSERT_EQ(stub.status, APLOMB_OK) << stub.error.message;
    EXPECT_NE(doubts_of(stub.figure).find("one span is 5"), std::string::npos)
        << doubts_of(stub.figure) << stub.remarks();

    Skeleton legless = make_biped(1.75);
    for (const std::string side : {"left_", "right_"})
        for (const char* part : {"thigh", "shin", "foot", "toes"})
            legless.names[static_cast<size_t>(legless.find(side + part))] = "prop";
    legless.roles.assign(legless.names.size(), APLOMB_ROLE_FROM_NAME);
    legless.roles[0] = APLOMB_ROLE_HIPS;
    for (size_t j = 0; j < legless.names.size(); ++j)
        if (legless.names[j] == "prop") legless.roles[j] = APLOMB_ROLE_PROP;
    const Built floating(legless);
    ASSERT_EQ(floating.status, APLOMB_OK) << floating.error.message;
    int32_t kind = APLOMB_DOUBT_NONE;
    ASSERT_NE(aplomb_figure_doubt(floating.figure, 0, &kind), nullptr);
    EXPECT_EQ(kind, APLOMB_DOUBT_STANDING);
    EXPECT_NE(doubts_of(floating.figure).find("The figure cannot stand: no leg was found."),
              std::string::npos)
        << floating.remarks();
}

} // namespace
