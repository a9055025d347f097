// SPDX-License-Identifier: MIT
#include <gtest/gtest.h>

#include <cstdio>

#include "figure/names.h"
#include "figure/skeletons.h"

namespace {

using namespace aplomb_test;
using aplomb::NameClass;
using aplomb::read_name;

void expect_role(const Built& built, const std::string& name, aplomb_role role, aplomb_side side) {
    EXPECT_EQ(built.joint(name).role, role) << name << " is a " << aplomb_role_text(built.joint(name).role);
    EXPECT_EQ(built.joint(name).side, side) << name;
}

constexpr aplomb_side left = APLOMB_SIDE_LEFT, right = APLOMB_SIDE_RIGHT, middle = APLOMB_SIDE_MIDDLE;

TEST(Names, AreCutIntoWords) {
    const struct {
        const char* name;
        NameClass what;
        aplomb_side side;
    } cases[] = {
        {"LeftUpLeg", NameClass::thigh, left},
        {"upperleg01.L", NameClass::thigh, left},
        {"rig:l_thigh", NameClass::thigh, left},
        {"lThigh", NameClass::thigh, left},
        {"rShin", NameClass::shank, right},
        {"lShldr", NameClass::shoulder, left},
        {"rthigh", NameClass::thigh, right},
        {"Bip01 R Forearm", NameClass::lower_arm, right},
        {"lowerarm02.R", NameClass::lower_arm, right},
        {"LHipJoint", NameClass::side_of_hips, left},
        {"l_hip", NameClass::side_of_hips, left},
        {"hip", NameClass::hips, APLOMB_SIDE_FROM_NAME},
        {"LowerBack", NameClass::spine, APLOMB_SIDE_FROM_NAME},
        {"vl5", NameClass::spine, APLOMB_SIDE_FROM_NAME},
        {"vc4", NameClass::neck, APLOMB_SIDE_FROM_NAME},
        {"middle_spine", NameClass::spine, APLOMB_SIDE_FROM_NAME},
        {"LeftHandIndex1", NameClass::helper, left},
        {"LThumb", NameClass::helper, left},
        {"upperarm_twist_l", NameClass::helper, left},
        {"LeftToeBase", NameClass::toe, left},
        {"LeftToeEnd", NameClass::helper, left},
        {"ball_r", NameClass::toe, right},
        {"FrontLegUpper_L", NameClass::upper_arm, left},
        {"hind_leg_R", NameClass::leg, right},
        {"bone_17", NameClass::none, APLOMB_SIDE_FROM_NAME},
        {"", NameClass::none, APLOMB_SIDE_FROM_NAME},
        {"rear", NameClass::none, APLOMB_SIDE_FROM_NAME},
        {"forearm", NameClass::lower_arm, APLOMB_SIDE_FROM_NAME},
    };
    for (const auto& c : cases) {
        EXPECT_EQ(static_cast<int>(read_name(c.name).what), static_cast<int>(c.what)) << c.name;
        EXPECT_EQ(read_name(c.name).side, c.side) << c.name;
    }
}

TEST(Roles, PlainNames) {
    const Built built(make_biped(1.75));
    ASSERT_EQ(built.status, APLOMB_OK) << built.error.message;
    expect_role(built, "hips", APLOMB_ROLE_HIPS, middle);
    expect_role(built, "spine", APLOMB_ROLE_SPINE, middle);
    expect_role(built, "neck", APLOMB_ROLE_NECK, middle);
    expect_role(built, "head", APLOMB_ROLE_HEAD, middle);
    expect_role(built, "left_clavicle", APLOMB_ROLE_GIRDLE, left);
    expect_role(built, "right_forearm", APLOMB_ROLE_LOWER_ARM, right);
    expect_role(built, "left_toes", APLOMB_ROLE_TOE, left);
    EXPECT_EQ(built.figure->chest, aplomb_figure_find_joint(built.figure, "chest"));
}

// The same skeleton must come out alike when its names say nothing.
TEST(Roles, NamelessBiped) {
    for (const double stature : {0.02, 0.8, 1.75, 40.0}) {
        const Built named(make_biped(stature));
        Skeleton skeleton = make_biped(stature);
        skeleton.forget_names();
        const Built nameless(skeleton);
        ASSERT_EQ(nameless.status, APLOMB_OK) << nameless.error.message;
        for (int32_t j = 0; j < named.figure->joint_count; ++j) {
            EXPECT_EQ(nameless.figure->joints[j].role, named.figure->joints[j].role)
                << named.figure->joints[j].name << " at stature " << stature;
            EXPECT_EQ(nameless.figure->joints[j].side, named.figure->joints[j].side)
                << named.figure->joints[j].name;
        }
    }
}

// Hair, longer than neck and head are high, hangs from the head.
TEST(Roles, NamelessHeadWithLongHair) {
    Skeleton s = make_biped(1.75);
    const int32_t head = s.find("head");
    const aplomb::Vec3 at = s.places[static_cast<size_t>(head)];
    const int32_t hair = s.add("hair_1", head, at.x, at.y + .15, at.z - .08);
    const int32_t lower = s.add("hair_2", hair, at.x, at.y - .05, at.z - .12);
    s.add("hair_3", lower, at.x, at.y - .3, at.z - .13);
    s.forget_names();
    const Built built(s);
    ASSERT_EQ(built.status, APLOMB_OK) << built.error.message;
    EXPECT_EQ(built.figure->head, head);
    EXPECT_EQ(built.figure->joints[hair].role, APLOMB_ROLE_HELPER);
}

// A horse's shoulder blade comes before its fore leg, and below the elbow there is more than above.
TEST(Roles, NamelessHorse) {
    Skeleton s;
    const int32_t hips = s.add("a", -1, 0, 1.4, -.65);
    const int32_t withers = s.add("b", s.add("c", hips, 0, 1.44, -.3), 0, 1.48, .35);
    s.set_tip(s.add("d", s.add("e", withers, 0, 1.75, .6), 0, 2.05, .85), 0, -.25, .38);
    int32_t blade = -1, thigh = -1;
    for (const double side : {.14, -.14}) {
        int32_t at = withers, first = -1;
        const double fore[][2] = {{1.42, .31}, {1.14, .53}, {.9, .37}, {.46, .39}, {.18, .38}, {.06, .44}};
        for (const double* place : fore) {
            at = s.add("f", at, side, place[0], place[1]);
            if (first < 0) first = at;
        }
        s.set_tip(at, 0, -.05, .07);
        if (blade < 0) blade = first;
        at = hips, first = -1;
        const double hind[][2] = {{1.3, -.65}, {.92, -.47}, {.56, -.73}, {.16, -.69}, {.06, -.63}};
        for (const double* place : hind) {
            at = s.add("h", at, side, place[0], place[1]);
            if (first < 0) first = at;
        }
        s.set_tip(at, 0, -.05, .07);
        if (thigh < 0) thigh = first;
    }
    s.forget_names();
    const Built built(s);
    ASSERT_EQ(built.status, APLOMB_OK) << built.error.message;
    EXPECT_EQ(built.figure->limb_count, 4);
    for (const auto& [joint, role] :
         {std::pair{blade, APLOMB_ROLE_GIRDLE}, std::pair{blade + 1, APLOMB_ROLE_UPPER_ARM},
          std::pair{blade + 2, APLOMB_ROLE_LOWER_ARM}, std::pair{blade + 3, APLOMB_ROLE_HAND},
          std::pair{thigh, APLOMB_ROLE_THIGH}, std::pair{thigh + 2, APLOMB_ROLE_FOOT}})
        EXPECT_EQ(built.figure->joints[joint].role, role) << joint;
}

// A head of a third of the height on short legs.
TEST(Roles, NamelessTopHeavyCartoon) {
    Skeleton s;
    const int32_t hips = s.add("a", -1, 0, 0.25, 0);
    const int32_t chest = s.add("b", hips, 0, 0.45, 0);
    const int32_t head = s.add("c", chest, 0, 0.62, 0);
    s.set_tip(head, 0, 0.38, 0);
    int32_t first_leg = -1, first_arm = -1;
    for (const double side : {1.0, -1.0}) {
        const int32_t arm = s.add("d", chest, side * 0.15, 0.55, 0);
        const int32_t elbow = s.add("e", arm, side * 0.27, 0.55, 0);
        s.add("f", elbow, side * 0.38, 0.55, 0);
        const int32_t leg = s.add("g", hips, side * 0.08, 0.22, 0);
        const int32_t knee = s.add("h", leg, side * 0.08, 0.13, 0.005);
        const int32_t foot = s.add("i", knee, side * 0.08, 0.03, 0);
        s.add("j", foot, side * 0.08, 0.01, 0.1);
        if (first_leg < 0) first_leg = leg, first_arm = arm;
    }
    s.forget_names();
    const Built built(s);
    ASSERT_EQ(built.status, APLOMB_OK) << built.error.message;
    EXPECT_EQ(built.figure->hips, hips);
    EXPECT_EQ(built.figure->head, head);
    EXPECT_EQ(built.figure->joints[first_leg].role, APLOMB_ROLE_THIGH);
    EXPECT_EQ(built.figure->joints[first_leg + 2].role, APLOMB_ROLE_FOOT);
    EXPECT_EQ(built.figure->joints[first_arm].role, APLOMB_ROLE_UPPER_ARM);
    EXPECT_EQ(built.figure->limb_count, 4);
}

Skeleton make_hanim_loa1() {
    // Places from the published proportions of Drillis and Contini 1966; a H-Anim figure's own are free.
    Skeleton s;
    const int32_t root = s.add("humanoid_root", -1, 0, 0.93, 0);
    const int32_t sacroiliac = s.add("sacroiliac", root, 0, 0.92, 0);
    for (const double side : {1.0, -1.0}) {
        const std::string mark = side > 0 ? "l_" : "r_";
        const int32_t hip = s.add(mark + "hip", sacroiliac, side * 0.09, 0.91, 0);
        const int32_t knee = s.add(mark + "knee", hip, side * 0.09, 0.49, 0);
        const int32_t ankle = s.add(mark + "talocrural", knee, side * 0.09, 0.07, 0);
        s.add(mark + "metatarsophalangeal", ankle, side * 0.09, 0.02, 0.13);
    }
    const int32_t vl5 = s.add("vl5", root, 0, 1.05, 0);
    s.add("skullbase", vl5, 0, 1.58, 0.02);
    for (const double side : {1.0, -1.0}) {
        const std::string mark = side > 0 ? "l_" : "r_";
        const int32_t shoulder = s.add(mark + "shoulder", vl5, side * 0.2, 1.42, 0);
        const int32_t elbow = s.add(mark + "elbow", shoulder, side * 0.2, 1.1, 0);
        s.add(mark + "radiocarpal", elbow, side * 0.2, 0.85, 0);
    }
    return s;
}

// ISO/IEC 19774-1:2019, LOA-1: all 18 joints.
TEST(Roles, HumanoidStandardNames) {
    const Built built(make_hanim_loa1());
    ASSERT_EQ(built.status, APLOMB_OK) << built.error.message;
    ASSERT_EQ(built.figure->joint_count, 18);
    expect_role(built, "humanoid_root", APLOMB_ROLE_HIPS, middle);
    expect_role(built, "sacroiliac", APLOMB_ROLE_HELPER, middle);
    expect_role(built, "l_hip", APLOMB_ROLE_THIGH, left);
    expect_role(built, "r_knee", APLOMB_ROLE_SHANK, right);
    expect_role(built, "l_talocrural", APLOMB_ROLE_FOOT, left);
    expect_role(built, "r_metatarsophalangeal", APLOMB_ROLE_TOE, right);
    expect_role(built, "vl5", APLOMB_ROLE_SPINE, middle);
    expect_role(built, "skullbase", APLOMB_ROLE_HEAD, middle);
    expect_role(built, "l_shoulder", APLOMB_ROLE_UPPER_ARM, left);
    expect_role(built, "r_elbow", APLOMB_ROLE_LOWER_ARM, right);
    expect_role(built, "l_radiocarpal", APLOMB_ROLE_HAND, left);
}

TEST(Roles, GivenOnesWin) {
    Skeleton s = make_biped(1.75);
    s.roles.assign(s.names.size(), APLOMB_ROLE_FROM_NAME);
    s.roles[static_cast<size_t>(s.find("chest"))] = APLOMB_ROLE_HELPER;
    const Built built(s);
    ASSERT_EQ(built.status, APLOMB_OK) << built.error.message;
    expect_role(built, "chest", APLOMB_ROLE_HELPER, middle);
    EXPECT_EQ(built.figure->spine_count, 1);
}

TEST(Roles, RemarksNameTheJoint) {
    Skeleton s = make_biped(1.75);
    s.add("other_head", s.find("head"), 0, 1.7, 0);
    const Built twice(s);
    ASSERT_EQ(twice.status, APLOMB_OK) << twice.error.message;
    EXPECT_NE(twice.remarks().find("'other_head'"), std::string::npos) << twice.remarks();

    Skeleton turned = make_biped(1.75);
    turned.forward = APLOMB_AXIS_MINUS_Z;
    const Built backward(turned);
    ASSERT_EQ(backward.status, APLOMB_OK) << backward.error.message;
    EXPECT_NE(backward.remarks().find("forward_axis"), std::string::npos) << backward.remarks();
}

TEST(Roles, RemarksOnHipsWithoutLegsAndOnTheUnit) {
    Skeleton s = make_biped(1.75);
    s.roles.assign(s.names.size(), APLOMB_ROLE_FROM_NAME);
    s.roles[static_cast<size_t>(s.find("head"))] = APLOMB_ROLE_HIPS;
    const Built built(s);
    ASSERT_EQ(built.status, APLOMB_OK) << built.error.message;
    EXPECT_NE(built.remarks().find("No leg hangs from the hips 'head': check the roles."), std::string::npos)
        << built.remarks();

    const Built centimetres(make_biped(175));
    ASSERT_EQ(centimetres.status, APLOMB_OK) << centimetres.error.message;
    EXPECT_NE(centimetres.remarks().find(" m tall: if it is not, give its unit; metres_per_unit is 1,"),
              std::string::npos)
        << centimetres.remarks();
    EXPECT_EQ(Built(make_biped(1.75)).remarks().find("m tall"), std::string::npos);
}

TEST(Roles, StickHasNoHips) {
    Skeleton s;
    s.add("", s.add("", s.add("", -1, 0, 0, 0), 0, 1, 0), 0, 2, 0);
    const Built built(s);
    EXPECT_EQ(built.status, APLOMB_BAD_FIGURE);
    EXPECT_EQ(built.figure, nullptr);
    EXPECT_NE(std::string(built.error.message).find("hips"), std::string::npos);
}

TEST(Roles, OneJointAndCoincidentJointsDoNotCrash) {
    Skeleton one;
    one.add("", -1, 0, 0, 0);
    EXPECT_LT(Built(one).status, 0);
    Skeleton heap;
    for (int i = 0; i < 40; ++i)
        heap.add("", i - 1 - (i > 20 ? i % 5 : 0), 0, 0, 0);
    EXPECT_LT(Built(heap).status, 0);
}

// ---- Shared reference files ------------------------------------------------------------------------------

#define READ_OR_SKIP(path, skeleton)                                                                         \
    if (!read_reference(path, skeleton)) GTEST_SKIP() << path << " is missing"

TEST(ReferenceRoles, DetailedHuman) {
    for (const char* file :
         {"figures/human_male.glb", "figures/human_female.glb", "figures/human_base.glb"}) {
        Skeleton s;
        READ_OR_SKIP(file, s);
        const Built built(s);
        ASSERT_EQ(built.status, APLOMB_OK) << built.error.message;
        expect_role(built, "root", APLOMB_ROLE_HIPS, middle);
        for (const char* name : {"spine05", "spine04", "spine03", "spine02", "spine01"})
            expect_role(built, name, APLOMB_ROLE_SPINE, middle);
        for (const char* name : {"neck01", "neck02", "neck03"})
            expect_role(built, name, APLOMB_ROLE_NECK, middle);
        expect_role(built, "head", APLOMB_ROLE_HEAD, middle);
        expect_role(built, "clavicle.L", APLOMB_ROLE_GIRDLE, left);
        expect_role(built, "shoulder01.L", APLOMB_ROLE_HELPER, left);
        expect_role(built, "upperarm01.L", APLOMB_ROLE_UPPER_ARM, left);
        expect_role(built, "upperarm02.L", APLOMB_ROLE_HELPER, left);
        expect_role(built, "lowerarm01.R", APLOMB_ROLE_LOWER_ARM, right);
        expect_role(built, "wrist.R", APLOMB_ROLE_HAND, right);
        expect_role(built, "pelvis.L", APLOMB_ROLE_HELPER, left);
        expect_role(built, "upperleg01.L", APLOMB_ROLE_THIGH, left);
        expect_role(built, "upperleg02.L", APLOMB_ROLE_HELPER, left);
        expect_role(built, "lowerleg01.L", APLOMB_ROLE_SHANK, left);
        expect_role(built, "foot.L", APLOMB_ROLE_FOOT, left);
        for (const char* name : {"jaw", "breast.L", "eye.R", "finger1-1.L", "tongue00"})
            EXPECT_EQ(built.joint(name).role, APLOMB_ROLE_HELPER) << name;
        EXPECT_EQ(built.joint("breast.L").side, left);
    }
}

TEST(ReferenceRoles, DetailedHumanWithoutNames) {
    Skeleton s;
    READ_OR_SKIP("figures/human_male.glb", s);
    const int32_t chest = s.find("spine01"), head = s.find("head"), knee = s.find("lowerleg01.L"),
                  ankle = s.find("foot.R"), wrist = s.find("wrist.L"), elbow = s.find("lowerarm01.R");
    s.forget_names();
    const Built built(s);
    ASSERT_EQ(built.status, APLOMB_OK) << built.error.message;
    EXPECT_EQ(built.figure->hips, 0);
    EXPECT_EQ(built.figure->chest, chest);
    EXPECT_EQ(built.figure->head, head);
    EXPECT_EQ(built.figure->joints[knee].role, APLOMB_ROLE_SHANK);
    EXPECT_EQ(built.figure->joints[ankle].role, APLOMB_ROLE_FOOT);
    EXPECT_EQ(built.figure->joints[wrist].role, APLOMB_ROLE_HAND);
    EXPECT_EQ(built.figure->joints[elbow].role, APLOMB_ROLE_LOWER_ARM);
}

TEST(ReferenceRoles, FoxWithAndWithoutNames) {
    Skeleton s;
    READ_OR_SKIP("figures/fox.glb", s);
    s.metres_per_unit = 0.01;
    const Built named(s);
    ASSERT_EQ(named.status, APLOMB_OK) << named.error.message;
    expect_role(named, "b_Root_00", APLOMB_ROLE_ROOT, middle);
    expect_role(named, "b_Hip_01", APLOMB_ROLE_HIPS, middle);
    expect_role(named, "b_Spine02_03", APLOMB_ROLE_SPINE, middle);
    expect_role(named, "b_Neck_04", APLOMB_ROLE_NECK, middle);
    expect_role(named, "b_Head_05", APLOMB_ROLE_HEAD, middle);
    expect_role(named, "b_RightUpperArm_06", APLOMB_ROLE_UPPER_ARM, right);
    expect_role(named, "b_LeftLeg01_015", APLOMB_ROLE_THIGH, left);
    expect_role(named, "b_LeftLeg02_016", APLOMB_ROLE_SHANK, left);
    expect_role(named, "b_LeftFoot01_017", APLOMB_ROLE_FOOT, left);
    expect_role(named, "b_Tail02_013", APLOMB_ROLE_TAIL, middle);
    s.forget_names();
    const Built nameless(s);
    ASSERT_EQ(nameless.status, APLOMB_OK) << nameless.error.message;
    for (int32_t j = 0; j < named.figure->joint_count; ++j)
        EXPECT_EQ(nameless.figure->joints[j].role, named.figure->joints[j].role)
            << named.figure->joints[j].name;
}

TEST(ReferenceRoles, CapturedWalk) {
    for (const char* file : {"clips/cmu_02_01.bvh", "clips/cmu_05_03.bvh", "poses/cmu115_lift_poses.bvh"}) {
        Skeleton s;
        READ_OR_SKIP(file, s);
        s.metres_per_unit = 0.056444;
        const Built built(s);
        ASSERT_EQ(built.status, APLOMB_OK) << built.error.message;
        expect_role(built, "Hips", APLOMB_ROLE_HIPS, middle);
        expect_role(built, "LHipJoint", APLOMB_ROLE_HELPER, left);
        expect_role(built, "LeftUpLeg", APLOMB_ROLE_THIGH, left);
        expect_role(built, "LeftLeg", APLOMB_ROLE_SHANK, left);
        expect_role(built, "RightToeBase", APLOMB_ROLE_TOE, right);
        expect_role(built, "LowerBack", APLOMB_ROLE_SPINE, middle);
        expect_role(built, "Neck1", APLOMB_ROLE_NECK, middle);
        expect_role(built, "LeftShoulder", APLOMB_ROLE_GIRDLE, left);
        expect_role(built, "LeftArm", APLOMB_ROLE_UPPER_ARM, left);
        expect_role(built, "LeftHandIndex1", APLOMB_ROLE_HELPER, left);
    }
}

TEST(ReferenceRoles, OtherRigAndUpAxisZ) {
    Skeleton other;
    READ_OR_SKIP("clips/cmu_12_01_other_rig.bvh", other);
    other.metres_per_unit = 0.01;
    const Built rig(other);
    ASSERT_EQ(rig.status, APLOMB_OK) << rig.error.message;
    expect_role(rig, "hip", APLOMB_ROLE_HIPS, middle);
    expect_role(rig, "rButtock", APLOMB_ROLE_HELPER, right);
    expect_role(rig, "rThigh", APLOMB_ROLE_THIGH, right);
    expect_role(rig, "abdomen", APLOMB_ROLE_SPINE, middle);
    expect_role(rig, "lShldr", APLOMB_ROLE_UPPER_ARM, left);
    expect_role(rig, "lCollar", APLOMB_ROLE_GIRDLE, left);
    expect_role(rig, "leftEye", APLOMB_ROLE_HELPER, left);
    const int32_t head = other.find("head");
    other.forget_names();
    const Built nameless(other);
    ASSERT_EQ(nameless.status, APLOMB_OK) << nameless.error.message;
    EXPECT_EQ(nameless.figure->head, head);

    Skeleton tall;
    READ_OR_SKIP("clips/zombie_z_up.bvh", tall);
    tall.metres_per_unit = 0.0396;
    tall.up = APLOMB_AXIS_Z;
    tall.forward = APLOMB_AXIS_MINUS_Y;
    const Built z_up(tall);
    ASSERT_EQ(z_up.status, APLOMB_OK) << z_up.error.message;
    expect_role(z_up, "Spine3", APLOMB_ROLE_SPINE, middle);
    expect_role(z_up, "LeftUpLeg", APLOMB_ROLE_THIGH, left);
    EXPECT_EQ(z_up.remarks().find("forward_axis"), std::string::npos) << z_up.remarks();
}

} // namespace
