// SPDX-License-Identifier: MIT
// Up, facing and the pose that a figure is measured in, from rest pose and motion, and what is told of it.
#include "aplomb/files.h"
#include "io/attitude.h"
#include "io/body_plan.h"
#include "io/bvh_character.h"
#include "io/euler.h"

#include "made_files.h"
#include "opened.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <functional>
#include <string>
#include <vector>

using namespace aplomb;
using namespace aplomb::io;
using made::Character;

namespace {

// ---- BVH from turns in the world ----

/// A skeleton and how its joints turn in the world, frame by frame; centimetres.
struct Moves {
    std::vector<SkeletonJoint> joints;
    std::vector<Vec3> offsets;
    std::vector<std::vector<Quat>> turns; // per frame and joint
    std::vector<Vec3> places;             // of the root, per frame
};

/// The lay figure, Y up, facing +Z, as it rests; no frames.
Moves lay_figure() {
    const BvhCharacter file(made::lay_figure_bvh());
    Moves moves{file.joints(), file.pose(-1, 0).translations, {}, {}};
    moves.offsets[0] = {};
    return moves;
}

void add_frame(Moves& moves, const Quat& turn, const Vec3& place) {
    moves.turns.emplace_back(moves.joints.size(), turn);
    moves.places.push_back(place);
}

std::string numbers(const Vec3& v) {
    char text[96];
    std::snprintf(text, sizeof text, "%.9f %.9f %.9f", v.x, v.y, v.z);
    return text;
}

void put_joint(const Moves& moves, std::size_t joint, std::string& text) {
    text += (joint == 0 ? "ROOT " : "JOINT ") + moves.joints[joint].name + "\n{\nOFFSET " +
            numbers(moves.offsets[joint]) + "\nCHANNELS " +
            (joint == 0 ? "6 Xposition Yposition Zposition " : "3 ") + "Zrotation Xrotation Yrotation\n";
    bool leaf = true;
    for (std::size_t k = 0; k < moves.joints.size(); ++k)
        if (moves.joints[k].parent == static_cast<int>(joint)) leaf = false, put_joint(moves, k, text);
    if (leaf) text += "End Site\n{\nOFFSET " + numbers(moves.joints[joint].tip) + "\n}\n";
    text += "}\n";
}

std::string text_of(const Moves& moves) {
    std::string text = "HIERARCHY\n";
    put_joint(moves, 0, text);
    text += "MOTION\nFrames: " + std::to_string(moves.turns.size()) + "\nFrame Time: 0.1\n";
    for (std::size_t f = 0; f < moves.turns.size(); ++f) {
        text += numbers(moves.places[f]);
        for (std::size_t j = 0; j < moves.joints.size(); ++j) {
            const Quat parent =
                j == 0 ? Quat{} : moves.turns[f][static_cast<std::size_t>(moves.joints[j].parent)];
            const auto angles = euler_angles(conjugate(parent) * moves.turns[f][j], {2, 0, 1}, {0, 0, 0});
            text += " " + numbers(Vec3{angles[0], angles[1], angles[2]} / degree);
        }
        text += "\n";
    }
    return text;
}

/// Each joint's own frame turned in the rest pose such that its first child lies along its X; how it stands in the
/// frames does not change. Branching joints with legs stay.
void lay_bones_along_x(Moves& moves) {
    std::vector<Quat> frames(moves.joints.size());
    for (std::size_t j = 1; j < moves.joints.size(); ++j) {
        Vec3 bone = moves.joints[j].tip;
        for (std::size_t k = moves.joints.size(); k-- > j;)
            if (moves.joints[k].parent == static_cast<int>(j)) bone = moves.offsets[k];
        frames[j] = rotation_between({1, 0, 0}, normalized(bone));
    }
    for (std::size_t j = 0; j < moves.joints.size(); ++j) {
        if (j > 0) {
            const Quat& parent = frames[static_cast<std::size_t>(moves.joints[j].parent)];
            moves.offsets[j] = rotate(conjugate(parent), moves.offsets[j]);
        }
        if (!std::isnan(moves.joints[j].tip.x))
            moves.joints[j].tip = rotate(conjugate(frames[j]), moves.joints[j].tip);
        for (std::vector<Quat>& turns : moves.turns)
            turns[j] = turns[j] * frames[j];
    }
}

// ---- opening ----

struct Opened {
    Character character;
    aplomb_character_info understood{};
    aplomb_figure_info figure{};
    std::string remarks;
};

Opened open(const std::string& bytes, const std::string& name,
            const std::function<void(aplomb_character_options&)>& with = {}) {
    const made::Folder folder;
    made::write(folder / name, bytes);
    aplomb_character_options options;
    aplomb_character_options_init(&options, sizeof options);
    if (with) with(options);
    aplomb_character* opened = nullptr;
    aplomb_error error{};
    EXPECT_EQ(aplomb_character_open((folder / name).c_str(), &options, &opened, &error), APLOMB_OK)
        << error.message;
    Opened result;
    result.character.reset(opened);
    aplomb_character_info_init(&result.understood, sizeof result.understood);
    EXPECT_EQ(aplomb_character_describe(opened, &result.understood, &error), APLOMB_OK) << error.message;
    aplomb_figure_info_init(&result.figure, sizeof result.figure);
    aplomb_figure_describe(aplomb_character_figure(opened), &result.figure, nullptr);
    for (int32_t i = 0; const char* remark = aplomb_character_remark(opened, i); ++i)
        result.remarks += std::string(remark) + "\n";
    return result;
}

std::string refused(const std::string& bytes, const std::function<void(aplomb_character_options&)>& with) {
    const made::Folder folder;
    made::write(folder / "c.bvh", bytes);
    aplomb_character_options options;
    aplomb_character_options_init(&options, sizeof options);
    with(options);
    aplomb_character* opened = nullptr;
    aplomb_error error{};
    EXPECT_LT(aplomb_character_open((folder / "c.bvh").c_str(), &options, &opened, &error), 0);
    return std::string(error.field) + ": " + error.message;
}

aplomb_limb_info limb(const Opened& opened, int32_t index) {
    aplomb_limb_info info;
    aplomb_limb_info_init(&info, sizeof info);
    aplomb_figure_limb(aplomb_character_figure(opened.character.get()), index, &info, nullptr);
    return info;
}

/// The same body, however it is put into a file: measures in metres.
void expect_same_body(const Opened& a, const Opened& b) {
    const double unit_a = a.understood.metres_per_unit, unit_b = b.understood.metres_per_unit;
    EXPECT_NEAR(a.figure.stature * unit_a, b.figure.stature * unit_b, 1e-6);
    EXPECT_NEAR(a.figure.leg_length * unit_a, b.figure.leg_length * unit_b, 1e-6);
    ASSERT_EQ(a.figure.limb_count, b.figure.limb_count);
    for (int32_t i = 0; i < a.figure.limb_count; ++i) {
        EXPECT_EQ(limb(a, i).kind, limb(b, i).kind) << i;
        EXPECT_EQ(limb(a, i).side, limb(b, i).side) << i;
        EXPECT_NEAR(limb(a, i).sole_length * unit_a, limb(b, i).sole_length * unit_b, 1e-6) << i;
        EXPECT_NEAR(limb(a, i).sole_breadth * unit_a, limb(b, i).sole_breadth * unit_b, 1e-6) << i;
    }
}

aplomb_reading read(const Opened& opened, int32_t clip, double seconds) {
    const aplomb_figure* figure = aplomb_character_figure(opened.character.get());
    const auto count = static_cast<std::size_t>(aplomb_figure_joint_count(figure));
    std::vector<double> translations(3 * count), rotations(4 * count);
    aplomb_character_pose(opened.character.get(), clip, seconds, translations.data(), rotations.data(),
                          nullptr);
    aplomb_situation situation;
    aplomb_situation_init(&situation, sizeof situation);
    situation.translations = translations.data();
    situation.rotations = rotations.data();
    aplomb_solver* solver = nullptr;
    aplomb_solver_create(figure, nullptr, &solver, nullptr);
    aplomb_reading reading;
    aplomb_reading_init(&reading, sizeof reading);
    aplomb_error error{};
    EXPECT_EQ(aplomb_read(solver, &situation, nullptr, &reading, &error), APLOMB_OK) << error.message;
    aplomb_solver_destroy(solver);
    return reading;
}

Moves standing(const Quat& turn, const Vec3& place, int frames = 20) {
    Moves moves = lay_figure();
    for (int f = 0; f < frames; ++f)
        add_frame(moves, turn, place);
    return moves;
}

const Vec3 x_axis{1, 0, 0}, y_axis{0, 1, 0}, z_axis{0, 0, 1};

// The legs are longer chains than the trunk; they are two of a kind.
TEST(BodyPlan, WithoutArms) {
    std::vector<SkeletonJoint> joints;
    const auto add = [&](const char* name, int parent) {
        joints.push_back({name, parent, {unknown, unknown, unknown}});
        return static_cast<int>(joints.size()) - 1;
    };
    add("hips", -1);
    const int spine = add("spine", 0);
    for (int side = 0; side < 2; ++side)
        add("toe", add("foot", add("shank", add("thigh", 0))));
    const BodyPlan plan = plan_of_tree(joints, {std::vector<Vec3>(joints.size(), {0, .1, 0}), {}});
    EXPECT_EQ(plan.trunk, std::vector<int>{spine});
    ASSERT_EQ(plan.legs.size(), 2u);
    EXPECT_EQ(joints[static_cast<std::size_t>(plan.legs[1].end)].name, "foot");
    EXPECT_EQ(joints[static_cast<std::size_t>(plan.legs[1].toe)].name, "toe");
}

// ---- up ----

TEST(Orientation, TheRestPoseTellsInAllOrientations) {
    struct Case {
        Quat turn;
        int up, forward;
    };
    for (const Case& c : {Case{{}, APLOMB_AXIS_Y, APLOMB_AXIS_Z},
                          Case{exp_rotation(x_axis * (pi / 2)), APLOMB_AXIS_Z, APLOMB_AXIS_MINUS_Y},
                          Case{exp_rotation(x_axis * (pi / 2)) * exp_rotation(y_axis * (pi / 2)),
                               APLOMB_AXIS_Z, APLOMB_AXIS_X},
                          Case{exp_rotation(z_axis * (pi / 2)), APLOMB_AXIS_MINUS_X, APLOMB_AXIS_Z},
                          Case{exp_rotation(x_axis * pi), APLOMB_AXIS_MINUS_Y, APLOMB_AXIS_MINUS_Z}}) {
        Moves moves = lay_figure();
        for (Vec3& offset : moves.offsets)
            offset = rotate(c.turn, offset);
        for (SkeletonJoint& joint : moves.joints)
            joint.tip = rotate(c.turn, joint.tip);
        const Opened opened = open(text_of(moves), "c.bvh");
        EXPECT_EQ(opened.understood.up_axis, c.up);
        EXPECT_EQ(opened.understood.forward_axis, c.forward);
        EXPECT_EQ(opened.understood.up_source, APLOMB_SOURCE_SHAPE);
        EXPECT_EQ(opened.understood.forward_source, APLOMB_SOURCE_SHAPE);
        EXPECT_EQ(opened.remarks, "");
    }
}

/// A lizard that runs on two legs: trunk level, tail as long as trunk and neck, and a small pair of strands at its hips.
Moves lizard(int tail_joints) {
    Moves moves;
    const auto add = [&](const std::string& name, int parent, const Vec3& offset, const Vec3& tip) {
        moves.joints.push_back({name, parent, tip});
        moves.offsets.push_back(offset);
        return static_cast<int>(moves.joints.size()) - 1;
    };
    const Vec3 none{unknown, unknown, unknown};
    const int hips = add("hip", -1, {}, none);
    int chest = hips;
    for (const char* name : {"s1", "s2", "s3"})
        chest = add(name, chest, {0, 12, 43}, none);
    add("hd", add("n2", add("n1", chest, {0, 35, 30}, none), {0, 35, 25}, none), {0, 15, 25}, {0, 0, 70});
    int tail = hips;
    for (int i = 0; i < tail_joints; ++i)
        tail = add("t" + std::to_string(i), tail, {0, 2.0 - i, -50}, {0, -5, -50});
    for (const double x : {1.0, -1.0}) {
        const std::string side = x > 0 ? "l_" : "r_";
        add(side + "b", add(side + "a", hips, {x * 20, 5, -10}, none), {x * 2, -30, -4}, {0, -20, 0});
        const int arm = add(side + "ua", chest, {x * 25, -15, 15}, none);
        add(side + "ha", add(side + "la", arm, {x * 3, -28, 8}, none), {0, -10, 20}, {0, -10, 8});
        const int shank =
            add(side + "sh", add(side + "th", hips, {x * 30, -5, 0}, none), {x * 6, -75, 35}, none);
        add(side + "ft", add(side + "mt", shank, {0, -75, -55}, none), {0, -55, 25}, {0, -8, 45});
    }
    return moves;
}

TEST(Orientation, ALizardOnTwoLegsStandsOnThem) {
    const Quat turns[] = {{}, exp_rotation(x_axis * (pi / 2)), exp_rotation(z_axis * (pi / 2))};
    const int axes[][2] = {{APLOMB_AXIS_Y, APLOMB_AXIS_Z},
                           {APLOMB_AXIS_Z, APLOMB_AXIS_MINUS_Y},
                           {APLOMB_AXIS_MINUS_X, APLOMB_AXIS_Z}};
    for (std::size_t i = 0; i < std::size(turns); ++i) {
        const int tail_joints = i == 0 ? 7 : 4; // a leg has 4
        Moves moves = lizard(tail_joints);
        for (Vec3& offset : moves.offsets)
            offset = rotate(turns[i], offset);
        for (SkeletonJoint& joint : moves.joints)
            joint.tip = rotate(turns[i], joint.tip);
        add_frame(moves, {}, rotate(turns[i], Vec3{0, 220, 0}));
        const Opened opened = open(text_of(moves), "c.bvh");
        EXPECT_EQ(opened.understood.up_axis, axes[i][0]);
        EXPECT_EQ(opened.understood.forward_axis, axes[i][1]);
        ASSERT_EQ(opened.figure.limb_count, 4);
        int legs = 0;
        for (int32_t k = 0; k < 4; ++k)
            legs += limb(opened, k).kind == APLOMB_LEG;
        EXPECT_EQ(legs, 2);
        for (const auto& [joint, role] :
             {std::pair{2, APLOMB_ROLE_SPINE}, std::pair{6, APLOMB_ROLE_HEAD},
              std::pair{13, APLOMB_ROLE_TAIL}, std::pair{12 + tail_joints, APLOMB_ROLE_TAIL}}) {
            aplomb_joint_info info;
            aplomb_joint_info_init(&info, sizeof info);
            aplomb_figure_joint(aplomb_character_figure(opened.character.get()), joint, &info, nullptr);
            EXPECT_EQ(info.role, role) << joint;
        }
    }
}

/// A skin of all joints, without a mesh and without names.
std::string nameless_gltf(const Moves& moves) {
    std::string nodes, joints;
    for (std::size_t j = 0; j < moves.joints.size(); ++j) {
        const Vec3& at = moves.offsets[j];
        char place[128];
        std::snprintf(place, sizeof place, "{\"translation\":[%.9f,%.9f,%.9f]", at.x / 100, at.y / 100,
                      at.z / 100);
        std::string children;
        for (std::size_t k = 0; k < moves.joints.size(); ++k)
            if (moves.joints[k].parent == static_cast<int>(j))
                children += (children.empty() ? "" : ",") + std::to_string(k);
        nodes += (j == 0 ? "" : ",") + std::string(place) +
                 (children.empty() ? "}" : ",\"children\":[" + children + "]}");
        joints += (j == 0 ? "" : ",") + std::to_string(j);
    }
    return R"({"asset":{"version":"2.0"},"scene":0,"scenes":[{"nodes":[0]}],"skins":[{"joints":[)" + joints +
           "]}],\"nodes\":[" + nodes + "]}";
}

/// A dog; its upper fore legs are j11 and j20.
Moves dog() {
    Moves moves;
    const Vec3 none{unknown, unknown, unknown};
    const auto add = [&](int parent, const Vec3& offset) {
        moves.joints.push_back({"j" + std::to_string(moves.joints.size()), parent, none});
        moves.offsets.push_back(offset);
        return static_cast<int>(moves.joints.size()) - 1;
    };
    const int hips = add(-1, {}), chest = add(add(add(hips, {0, 2, 25}), {0, 0, 25}), {0, -2, 20});
    const int head = add(add(chest, {0, 10, 12}), {0, 15, 13});
    moves.joints[static_cast<std::size_t>(add(head, {0, -3, 7}))].tip = {0, -2, 8};
    add(add(add(hips, {0, -2, -15}), {0, -2, -12}), {0, -2, -12});
    moves.joints.back().tip = {0, -2, -12};
    for (const double x : {1.0, -1.0}) {
        int at = chest;
        for (const Vec3& offset :
             {Vec3{5 * x, 2, 0}, Vec3{6 * x, -14, 6}, Vec3{0, -20, -8}, Vec3{0, -28, 4}, Vec3{0, -8, 4}})
            at = add(at, offset);
        moves.joints.back().tip = {0, -2, 6};
        at = hips;
        for (const Vec3& offset : {Vec3{10 * x, -4, 0}, Vec3{0, -24, 8}, Vec3{0, -22, -16}, Vec3{0, -18, 6}})
            at = add(at, offset);
        moves.joints.back().tip = {0, -2, 6};
    }
    return moves;
}

// Without names, which legs are the fore legs goes by the way the body faces; the feet tell which way that is.
TEST(Orientation, ANamelessDogFacesAsItsFeetDo) {
    for (const double angle : {0.0, pi / 2, pi, -pi / 2})
        for (const bool z_up : {false, true}) {
            const Quat turn =
                (z_up ? exp_rotation(x_axis * (pi / 2)) : Quat{}) * exp_rotation(y_axis * angle);
            Moves moves = dog();
            for (Vec3& offset : moves.offsets)
                offset = rotate(turn, offset);
            for (SkeletonJoint& joint : moves.joints)
                joint.tip = rotate(turn, joint.tip);
            add_frame(moves, {}, rotate(turn, Vec3{0, 70, 0}));
            const Opened opened = open(text_of(moves), "c.bvh");
            EXPECT_EQ(opened.understood.up_axis, z_up ? APLOMB_AXIS_Z : APLOMB_AXIS_Y);
            const Vec3 facing = rotate(turn, z_axis);
            const Vec3 found = direction_of(opened.understood.forward_axis);
            EXPECT_NEAR(dot(facing, found), 1, 1e-9) << "turned by " << angle << (z_up ? ", Z up" : "");
            ASSERT_EQ(opened.figure.limb_count, 4);
            for (int32_t k = 0; k < 4; ++k) {
                const bool fore = limb(opened, k).kind == APLOMB_FORE_LEG;
                aplomb_joint_info upper;
                aplomb_joint_info_init(&upper, sizeof upper);
                aplomb_figure_joint(aplomb_character_figure(opened.character.get()), limb(opened, k).upper,
                                    &upper, nullptr);
                const std::string name = upper.name;
                EXPECT_TRUE(fore || limb(opened, k).kind == APLOMB_LEG);
                EXPECT_EQ(fore, name == "j11" || name == "j20") << name;
            }
        }
}

// glTF has Y up; a nameless body that stands along another axis is nothing along Y: with Z up the beak alone reaches down.
TEST(Orientation, ANamelessBipedInAGltfMayStandAlongAnotherAxis) {
    for (const bool z_up : {false, true}) {
        Moves moves = lay_figure();
        const auto head = std::find_if(moves.joints.begin(), moves.joints.end(),
                                       [](const SkeletonJoint& joint) { return joint.name == "Head"; });
        const auto parent = static_cast<int>(head - moves.joints.begin());
        moves.joints.push_back({"Beak", parent, {unknown, unknown, unknown}});
        moves.offsets.push_back({0, 10, 40});
        const Quat turn = exp_rotation(x_axis * (z_up ? pi / 2 : 0));
        for (Vec3& offset : moves.offsets)
            offset = rotate(turn, offset);
        const Opened opened = open(nameless_gltf(moves), "c.gltf");
        EXPECT_EQ(opened.understood.up_axis, z_up ? APLOMB_AXIS_Z : APLOMB_AXIS_Y);
        EXPECT_EQ(opened.understood.forward_axis, z_up ? APLOMB_AXIS_MINUS_Y : APLOMB_AXIS_Z);
        EXPECT_EQ(opened.figure.limb_count, 4);
    }
}

// Y up at rest, Z up in every frame: the motion tells, and the rest pose is turned for measuring.
TEST(Orientation, TheMotionTellsUpWhereTheRestPoseDisagrees) {
    const Opened plain = open(text_of(standing({}, {0, 90, 0})), "c.bvh");
    const Opened turned = open(text_of(standing(exp_rotation(x_axis * (pi / 2)), {0, 0, 90})), "c.bvh");
    EXPECT_EQ(turned.understood.up_axis, APLOMB_AXIS_Z);
    EXPECT_EQ(turned.understood.up_source, APLOMB_SOURCE_MOTION);
    EXPECT_EQ(turned.understood.forward_axis, APLOMB_AXIS_MINUS_Y);
    EXPECT_NE(std::string(turned.understood.up_why).find("20 of 20 frames"), std::string::npos)
        << turned.understood.up_why;
    EXPECT_EQ(turned.understood.stand_clip, -1);
    EXPECT_NE(std::string(turned.understood.stand_why).find("turned from Y up to Z up"), std::string::npos)
        << turned.understood.stand_why;
    expect_same_body(plain, turned);
    const aplomb_reading a = read(plain, 0, 0), b = read(turned, 0, 0);
    EXPECT_EQ(a.in_balance, b.in_balance);
    EXPECT_NEAR(a.margin, b.margin, 1e-6);
}

// A description that is written opens as the same figure.
TEST(Orientation, ADescriptionKeepsAllOfIt) {
    Moves along_x = standing(exp_rotation(y_axis * 0.5), {0, 90, 0});
    lay_bones_along_x(along_x);
    for (const Moves& moves : {standing(exp_rotation(x_axis * (pi / 2)), {0, 0, 90}), along_x}) {
        const made::Folder folder;
        made::write(folder / "c.bvh", text_of(moves));
        std::vector<double> stature;
        for (int turn = 0; turn < 2; ++turn) {
            aplomb_character* opened = nullptr;
            aplomb_error error{};
            ASSERT_EQ(aplomb_character_open((folder / "c.bvh").c_str(), nullptr, &opened, &error), APLOMB_OK)
                << error.message;
            const Character character(opened);
            const aplomb_figure* figure = aplomb_character_figure(opened);
            const auto count = static_cast<std::size_t>(aplomb_figure_joint_count(figure));
            std::vector<double> translations(3 * count), rotations(4 * count);
            aplomb_figure_rest_pose(figure, translations.data(), rotations.data());
            stature.insert(stature.end(), rotations.begin(), rotations.end());
            ASSERT_EQ(
                aplomb_character_write_description(opened, (folder / "c.bvh.figure.json").c_str(), &error),
                APLOMB_OK)
                << error.message;
        }
        for (std::size_t i = 0; i < stature.size() / 2; ++i)
            EXPECT_NEAR(stature[i], stature[stature.size() / 2 + i], 1e-12);
    }
}

// A sleeper on the ground of a file with Y up looks like one who stands along Z.
TEST(Orientation, ASleeperLies) {
    const Opened opened = open(text_of(standing(exp_rotation(x_axis * (pi / 2)), {0, 10, 0})), "c.bvh");
    EXPECT_EQ(opened.understood.up_axis, APLOMB_AXIS_Y);
    EXPECT_EQ(opened.understood.up_source, APLOMB_SOURCE_SHAPE);
}

TEST(Orientation, CartwheelsTellNothing) {
    Moves moves = lay_figure();
    for (int f = 0; f < 40; ++f)
        add_frame(moves, exp_rotation(z_axis * (f * pi / 20)), {5.0 * f, 90, 0});
    EXPECT_EQ(open(text_of(moves), "c.bvh").understood.up_axis, APLOMB_AXIS_Y);
}

// Falls after a stand: more frames lie than stand.
TEST(Orientation, AFallTellsNothingElse) {
    Moves moves = lay_figure();
    for (int f = 0; f < 20; ++f)
        add_frame(moves, {}, {0, 90, 0});
    for (int f = 0; f < 30; ++f)
        add_frame(moves, exp_rotation(x_axis * (-pi / 2)), {0, 10, 40});
    EXPECT_EQ(open(text_of(moves), "c.bvh").understood.up_axis, APLOMB_AXIS_Y);
}

// ---- a rest pose that is nothing like a stand ----

TEST(Orientation, BonesAlongXAreMeasuredInAStandingFrame) {
    const Opened plain = open(text_of(standing({}, {0, 90, 0})), "c.bvh");
    Moves moves = standing(exp_rotation(y_axis * 0.6), {30, 90, -20});
    for (std::size_t j = 0; j < moves.joints.size(); ++j) // a bow before the stand
        moves.turns[0][j] = exp_rotation(x_axis * (j > 0 && j < 11 ? 1.2 : 0));
    lay_bones_along_x(moves);
    const Opened opened = open(text_of(moves), "c.bvh");
    EXPECT_EQ(opened.understood.up_axis, APLOMB_AXIS_Y);
    EXPECT_EQ(opened.understood.up_source, APLOMB_SOURCE_MOTION);
    EXPECT_EQ(opened.understood.forward_axis, APLOMB_AXIS_Z); // the nearest to where it faces
    EXPECT_EQ(opened.understood.stand_clip, 0);
    EXPECT_EQ(opened.understood.stand_source, APLOMB_SOURCE_MOTION);
    EXPECT_GT(opened.understood.stand_seconds, 0); // not the bow
    EXPECT_NE(opened.remarks.find("nothing like a stand"), std::string::npos) << opened.remarks;
    expect_same_body(plain, opened);
    const aplomb_reading a = read(plain, 0, 1), b = read(opened, 0, 1);
    EXPECT_EQ(a.in_balance, b.in_balance);
    EXPECT_NEAR(a.margin * plain.understood.metres_per_unit, b.margin * opened.understood.metres_per_unit,
                1e-6);
}

// On tiptoe in every frame but one, where the other foot is lifted: the feet are taken as that one frame shows them.
TEST(Orientation, FeetOnTiptoeAreMeasuredFlat) {
    const Opened plain = open(text_of(standing({}, {0, 90, 0})), "c.bvh");
    Moves moves = standing({}, {0, 90, 0});
    const auto joint = [&](const char* name) {
        for (std::size_t j = 0; j < moves.joints.size(); ++j)
            if (moves.joints[j].name == name) return j;
        return std::size_t{0};
    };
    for (std::size_t f = 0; f < moves.turns.size(); ++f) {
        for (const char* foot : {"LeftFoot", "RightFoot"})
            moves.turns[f][joint(foot)] = exp_rotation(x_axis * 0.8);
        moves.places[f].y += 10;
    }
    moves.places[7].y -= 10;
    moves.turns[7][joint("LeftFoot")] = {};
    lay_bones_along_x(moves);
    expect_same_body(plain, open(text_of(moves), "c.bvh"));
}

TEST(Orientation, WithoutAStandingFrameThereIsARemark) {
    Moves moves = lay_figure();
    lay_bones_along_x(moves);
    const Opened opened = open(text_of(moves), "c.bvh");
    EXPECT_EQ(opened.understood.stand_clip, -1);
    EXPECT_NE(opened.remarks.find("(stand_clip)"), std::string::npos) << opened.remarks;
}

TEST(Orientation, AStandIsGiven) {
    Moves moves = standing(exp_rotation(y_axis * 0.6), {30, 90, -20});
    lay_bones_along_x(moves);
    const std::string bytes = text_of(moves);
    const Opened opened =
        open(bytes, "c.bvh", [](auto& o) { o.stand_clip = "motion", o.stand_seconds = 0.5; });
    EXPECT_EQ(opened.understood.stand_clip, 0);
    EXPECT_EQ(opened.understood.stand_seconds, 0.5);
    EXPECT_EQ(opened.understood.stand_source, APLOMB_SOURCE_GIVEN);
    expect_same_body(open(text_of(standing({}, {0, 90, 0})), "c.bvh"), opened);

    // The axis that it shall face is turned to, whichever way is nearer.
    const Opened back = open(bytes, "c.bvh", [](auto& o) {
        o.stand_clip = "0", o.stand_seconds = 0.5, o.forward_axis = APLOMB_AXIS_MINUS_Z;
    });
    EXPECT_EQ(back.understood.forward_axis, APLOMB_AXIS_MINUS_Z);

    const Opened rest = open(bytes, "c.bvh", [](auto& o) { o.stand_clip = "none"; });
    EXPECT_EQ(rest.understood.stand_clip, -1);
    EXPECT_EQ(rest.understood.stand_source, APLOMB_SOURCE_GIVEN);

    EXPECT_EQ(refused(bytes, [](auto& o) { o.stand_clip = "moton"; }).substr(0, 12), "stand_clip: ");
    EXPECT_NE(refused(bytes, [](auto& o) { o.stand_clip = "moton"; }).find("near: 'motion'"),
              std::string::npos);
    const std::string late = refused(bytes, [](auto& o) { o.stand_clip = "motion", o.stand_seconds = 9; });
    EXPECT_NE(late.find("9.00 s; clip 'motion' runs from 0.00 s to 1.90 s"), std::string::npos) << late;
}

// ---- glTF ----

/// The lay figure with toes, turned as a whole.
made::Gltf turned_figure(const Quat& turn) {
    made::Gltf file = made::lay_figure();
    const Json q = {turn.x, turn.y, turn.z, turn.w};
    file.json["nodes"][0]["rotation"] = q;
    for (const char* foot : {"LeftFoot", "RightFoot"})
        for (std::size_t i = 0; i < file.json["nodes"].size(); ++i)
            if (file.json["nodes"][i]["name"] == foot)
                file.json["skins"][0]["joints"].push_back(
                    file.node(std::string(foot) == "LeftFoot" ? "LeftToes" : "RightToes", static_cast<int>(i),
                              {{"translation", {0, -0.06, 0.13}}}));
    return file;
}

TEST(Orientation, AGltfFacesAsTheStandardSays) {
    const Opened opened = open(turned_figure({}).text(), "c.gltf");
    EXPECT_EQ(opened.understood.up_axis, APLOMB_AXIS_Y);
    EXPECT_EQ(opened.understood.up_source, APLOMB_SOURCE_STANDARD);
    EXPECT_EQ(opened.understood.forward_axis, APLOMB_AXIS_Z);
    EXPECT_EQ(opened.understood.forward_source, APLOMB_SOURCE_STANDARD);
    EXPECT_EQ(opened.understood.unit_source, APLOMB_SOURCE_STANDARD);
    EXPECT_EQ(opened.remarks, "");
}

TEST(Orientation, AGltfThatFacesBackIsFoundAndRemarked) {
    const Opened plain = open(turned_figure({}).text(), "c.gltf");
    for (const auto& [angle, axis] : {std::pair{pi, -3}, {pi / 2, 1}, {-pi / 2, -1}}) {
        const Opened opened = open(turned_figure(exp_rotation(y_axis * angle)).text(), "c.gltf");
        EXPECT_EQ(opened.understood.forward_axis, axis);
        EXPECT_EQ(opened.understood.forward_source, APLOMB_SOURCE_SHAPE);
        EXPECT_NE(opened.remarks.find("; forward_axis says otherwise"), std::string::npos) << opened.remarks;
        expect_same_body(plain, opened);
    }
    const Opened given = open(turned_figure(exp_rotation(y_axis * pi)).text(), "c.gltf",
                              [](auto& o) { o.forward_axis = APLOMB_AXIS_Z; });
    EXPECT_EQ(given.understood.forward_axis, APLOMB_AXIS_Z);
    EXPECT_EQ(given.understood.forward_source, APLOMB_SOURCE_GIVEN);
}

// Names alone may be swapped: the standard holds, with a remark.
TEST(Orientation, NamesAloneDoNotTurnAGltf) {
    made::Gltf file = made::lay_figure();
    file.json["nodes"][0]["rotation"] = {0, 1, 0, 0};
    const Opened opened = open(file.text(), "c.gltf");
    EXPECT_EQ(opened.understood.forward_axis, APLOMB_AXIS_Z);
    EXPECT_NE(opened.remarks.find("though the names' left and right say -Z"), std::string::npos)
        << opened.remarks;
}

// An export that did not turn Z up into Y up.
TEST(Orientation, AGltfThatLies) {
    const Opened plain = open(turned_figure({}).text(), "c.gltf");
    const Opened opened = open(turned_figure(exp_rotation(x_axis * (pi / 2))).text(), "c.gltf");
    EXPECT_EQ(opened.understood.up_axis, APLOMB_AXIS_Z);
    EXPECT_EQ(opened.understood.up_source, APLOMB_SOURCE_SHAPE);
    EXPECT_EQ(opened.understood.forward_axis, APLOMB_AXIS_MINUS_Y);
    EXPECT_NE(opened.remarks.find("; up_axis says otherwise"), std::string::npos) << opened.remarks;
    expect_same_body(plain, opened);
}

// Its clips stand along Y: the rest pose alone lies.
TEST(Orientation, AGltfWhoseClipsStand) {
    made::Gltf file = turned_figure(exp_rotation(x_axis * (pi / 2)));
    file.track(0, 0, "rotation", {0, 1}, {0, 0, 0, 1, 0, 0, 0, 1});
    const Opened opened = open(file.text(), "c.gltf");
    EXPECT_EQ(opened.understood.up_axis, APLOMB_AXIS_Y);
    EXPECT_EQ(opened.understood.forward_axis, APLOMB_AXIS_Z);
    EXPECT_EQ(opened.understood.stand_source, APLOMB_SOURCE_MOTION);
    expect_same_body(open(turned_figure({}).text(), "c.gltf"), opened);
}

// ---- a mirror ----

std::vector<double> world_places(const aplomb_character* character, int32_t clip) {
    const aplomb_figure* figure = aplomb_character_figure(character);
    const auto count = static_cast<std::size_t>(aplomb_figure_joint_count(figure));
    std::vector<double> translations(3 * count), rotations(4 * count), matrices(16 * count), places;
    aplomb_character_pose(character, clip, 0, translations.data(), rotations.data(), nullptr);
    aplomb_pose_to_matrices(figure, translations.data(), rotations.data(), matrices.data(), APLOMB_DOUBLE,
                            16 * sizeof(double), APLOMB_WORLD, nullptr);
    for (std::size_t j = 0; j < count; ++j)
        for (std::size_t k = 0; k < 3; ++k)
            places.push_back(matrices[16 * j + 12 + k]);
    return places;
}

made::Gltf bent_figure() {
    made::Gltf file = turned_figure({});
    for (std::size_t i = 1; i < file.json["nodes"].size(); ++i) {
        const Quat q = exp_rotation({0.1, -0.02 * static_cast<double>(i % 5), 0.07});
        file.json["nodes"][i]["rotation"] = {q.x, q.y, q.z, q.w};
    }
    return file;
}

TEST(Mirror, JointsLieWhereTheMirrorShowsThem) {
    const Opened plain = open(bent_figure().text(), "c.gltf");
    const std::vector<double> there = world_places(plain.character.get(), -1);
    for (const std::array<double, 3>& scale :
         {std::array<double, 3>{-1, 1, 1}, {1, 1, -1}, {-1, -1, -1}, {-1, 1, -1}, {-2, 2, 2}}) {
        made::Gltf file = bent_figure();
        file.json["nodes"][0]["scale"] = scale;
        const Opened opened = open(file.text(), "c.gltf");
        const std::vector<double> here = world_places(opened.character.get(), -1);
        for (std::size_t i = 0; i < here.size(); ++i)
            EXPECT_NEAR(here[i], there[i] * scale[i % 3], 1e-12) << i << " at scale " << scale[0];
    }
}

TEST(Mirror, AWrittenPoseComesBack) {
    made::Gltf file = bent_figure();
    file.json["nodes"][0]["scale"] = {-1, 1, 1};
    file.json["nodes"][4]["scale"] = {1, -1, 1}; // and once more, at the neck
    file.track(0, 2, "rotation", {0, 1}, {0, 0, 0, 1, 0, 0, 0, 1});
    const made::Folder folder;
    made::write(folder / "c.gltf", file.text());
    for (const int32_t clip : {-1, 0}) {
        aplomb_character* opened = nullptr;
        aplomb_error error{};
        ASSERT_EQ(aplomb_character_open((folder / "c.gltf").c_str(), nullptr, &opened, &error), APLOMB_OK)
            << error.message;
        const Character character(opened);
        const auto count =
            static_cast<std::size_t>(aplomb_figure_joint_count(aplomb_character_figure(opened)));
        std::vector<double> t(3 * count), r(4 * count), t2(t), r2(r);
        aplomb_character_pose(opened, clip, 0, t.data(), r.data(), nullptr);
        for (std::size_t j = 0; j < count; ++j) {
            const Quat q = normalized(Quat{r[4 * j], r[4 * j + 1], r[4 * j + 2], r[4 * j + 3]} *
                                      exp_rotation({0.1, 0.2, -0.1}));
            r[4 * j] = q.x, r[4 * j + 1] = q.y, r[4 * j + 2] = q.z, r[4 * j + 3] = q.w;
            t[3 * j] += 0.01, t[3 * j + 2] -= 0.02;
        }
        ASSERT_EQ(
            aplomb_character_write(opened, clip, 0, t.data(), r.data(), (folder / "d.gltf").c_str(), &error),
            APLOMB_OK)
            << error.message;
        aplomb_character* again = nullptr;
        ASSERT_EQ(aplomb_character_open((folder / "d.gltf").c_str(), nullptr, &again, &error), APLOMB_OK)
            << error.message;
        const Character written(again);
        aplomb_character_pose(again, clip, 0, t2.data(), r2.data(), nullptr);
        for (std::size_t i = 0; i < t.size(); ++i)
            EXPECT_NEAR(t2[i], t[i], 1e-6);
        for (std::size_t j = 0; j < count; ++j) {
            double same = 0;
            for (std::size_t k = 0; k < 4; ++k)
                same += r[4 * j + k] * r2[4 * j + k];
            EXPECT_NEAR(std::fabs(same), 1, 1e-6) << j;
        }
    }
}

// Its toes still point ahead, so what its names call left is its right.
TEST(Mirror, NamesChangeSides) {
    made::Gltf file = turned_figure({});
    file.json["nodes"][0]["scale"] = {-1, 1, 1};
    const Opened opened = open(file.text(), "c.gltf");
    const aplomb_figure* figure = aplomb_character_figure(opened.character.get());
    const int32_t left = aplomb_figure_find_role(figure, APLOMB_ROLE_THIGH, APLOMB_SIDE_LEFT);
    aplomb_joint_info info;
    aplomb_joint_info_init(&info, sizeof info);
    ASSERT_EQ(aplomb_figure_joint(figure, left, &info, nullptr), APLOMB_OK);
    EXPECT_STREQ(info.name, "RightThigh");
    EXPECT_NE(opened.remarks.find("mirrors"), std::string::npos) << opened.remarks;
}

// Along its facing: it faces back, and its names' left is its right all the same.
TEST(Mirror, TurnsTheFaceToo) {
    made::Gltf file = turned_figure({});
    file.json["nodes"][0]["scale"] = {1, 1, -1};
    const Opened opened = open(file.text(), "c.gltf");
    EXPECT_EQ(opened.understood.forward_axis, APLOMB_AXIS_MINUS_Z);
    expect_same_body(open(turned_figure({}).text(), "c.gltf"), opened);
}

// ---- the reference files ----

TEST(Orientation, TheDancerWithBonesAlongX) {
    if (made::reference_is_missing()) GTEST_SKIP();
    const Opened opened = open(made::read(made::reference / "zoo/bones_along_x.bvh"), "c.bvh");
    EXPECT_EQ(opened.understood.up_axis, APLOMB_AXIS_Y);
    EXPECT_EQ(opened.understood.stand_clip, 0);
    ASSERT_EQ(opened.figure.limb_count, 4);
    const double unit = opened.understood.metres_per_unit;
    EXPECT_NEAR(opened.figure.leg_length / opened.figure.stature, 0.491,
                0.03); // Drillis and Contini: .530 - .039
    for (int32_t i = 0; i < 2; ++i) {
        EXPECT_NEAR(limb(opened, i).sole_length * unit, 0.25, 0.03);
        EXPECT_NEAR(limb(opened, i).sole_length, limb(opened, 1 - i).sole_length,
                    0.02 * limb(opened, i).sole_length);
    }
    for (const double seconds : {0.0, 4.8, 9.8}) {
        const aplomb_reading reading = read(opened, 0, seconds);
        EXPECT_TRUE(std::isfinite(reading.margin) && std::fabs(reading.margin * unit) < 1) << reading.margin;
    }
}

/// A .glb again with a node of its own above all.
std::string turned_glb(const std::filesystem::path& path, const Quat& turn) {
    const std::string bytes = made::read(path);
    std::uint32_t length = 0;
    std::memcpy(&length, bytes.data() + 12, 4);
    Json json = Json::parse(bytes.substr(20, length));
    Json& roots = json["scenes"][json.value("scene", std::size_t{0})]["nodes"];
    json["nodes"].push_back(
        {{"name", "turned"}, {"children", roots}, {"rotation", {turn.x, turn.y, turn.z, turn.w}}});
    roots = {json["nodes"].size() - 1};
    std::string text = json.dump();
    text.resize((text.size() + 3) / 4 * 4, ' ');
    const auto word = [](std::size_t value) {
        const auto number = static_cast<std::uint32_t>(value);
        std::string four(4, '\0');
        std::memcpy(four.data(), &number, 4);
        return four;
    };
    const std::string rest = bytes.substr(20 + length);
    return bytes.substr(0, 8) + word(20 + text.size() + rest.size()) + word(text.size()) +
           bytes.substr(16, 4) + text + rest;
}

// Four-footed ones too, whose roles the shape tells with the right axes alone.
TEST(Orientation, ReferenceFiguresTurned) {
    if (made::reference_is_missing()) GTEST_SKIP();
    const Quat back = exp_rotation(y_axis * pi), raised = exp_rotation(x_axis * (pi / 2));
    for (const char* name :
         {"figures/human_male.glb", "figures/fox.glb", "zoo/adventurer.glb", "zoo/wolf.glb"}) {
        const Opened plain = open(made::read(made::reference / name), "c.glb");
        const Opened behind = open(turned_glb(made::reference / name, back), "c.glb");
        EXPECT_EQ(behind.understood.up_axis, APLOMB_AXIS_Y) << name;
        EXPECT_EQ(behind.understood.forward_axis, APLOMB_AXIS_MINUS_Z) << name << behind.remarks;
        EXPECT_NEAR(behind.figure.stature, plain.figure.stature, 1e-3 * plain.figure.stature) << name;
        const Opened lying = open(turned_glb(made::reference / name, raised), "c.glb");
        EXPECT_EQ(lying.understood.up_axis, APLOMB_AXIS_Z) << name << lying.remarks;
        EXPECT_EQ(lying.understood.forward_axis, APLOMB_AXIS_MINUS_Y) << name << lying.remarks;
        EXPECT_NEAR(lying.figure.stature, plain.figure.stature, 1e-3 * plain.figure.stature) << name;
    }
}

TEST(Orientation, ReferenceFilesAsTheySay) {
    if (made::reference_is_missing()) GTEST_SKIP();
    struct Case {
        const char* file;
        int up, forward;
    };
    for (const Case& c : {Case{"clips/cmu_02_01.bvh", 2, 3}, Case{"clips/cmu_02_06.bvh", 2, 3},
                          Case{"clips/cmu_05_03.bvh", 2, 3}, Case{"clips/cmu_13_11_other_rig.bvh", 2, 3},
                          Case{"clips/zombie_z_up.bvh", 3, -2}, Case{"poses/cmu115_lift_poses.bvh", 2, 3},
                          Case{"figures/human_male.glb", 2, 3}, Case{"figures/fox.glb", 2, 3},
                          Case{"zoo/wolf.glb", 2, 3}, Case{"zoo/adventurer.glb", 2, 3}}) {
        const std::string extension = std::filesystem::path(c.file).extension().string();
        const Opened opened = open(made::read(made::reference / c.file), "c" + extension);
        EXPECT_EQ(opened.understood.up_axis, c.up) << c.file;
        EXPECT_EQ(opened.understood.forward_axis, c.forward) << c.file;
        EXPECT_EQ(opened.understood.stand_clip, -1) << c.file;
        EXPECT_EQ(opened.remarks, "") << c.file;
    }
}

} // namespace
