// SPDX-License-Identifier: MIT
// The C entry points and the figure description.
#include "aplomb/files.h"
#include "io/description.h"
#include "io/disk.h"
#include "io/fault.h"
#include "io/gltf_document.h"

#include "made_files.h"
#include "opened.h"

#include <gtest/gtest.h>

#include <cmath>
#include <memory>

using namespace aplomb::io;

namespace {

using made::Character;

Character open(const std::filesystem::path& path, const aplomb_character_options* options = nullptr) {
    aplomb_character* character = nullptr;
    aplomb_error error{};
    EXPECT_EQ(aplomb_character_open(path.c_str(), options, &character, &error), APLOMB_OK) << error.message;
    return Character(character);
}

std::string failure(const std::filesystem::path& path, aplomb_status status,
                    const aplomb_character_options* options = nullptr) {
    aplomb_character* character = nullptr;
    aplomb_error error{};
    EXPECT_EQ(aplomb_character_open(path.c_str(), options, &character, &error), status);
    EXPECT_EQ(character, nullptr);
    return error.message;
}

aplomb_character_options defaults() {
    aplomb_character_options options;
    aplomb_character_options_init(&options, sizeof options);
    return options;
}

aplomb_figure_info info_of(const Character& character) {
    aplomb_figure_info info;
    aplomb_figure_info_init(&info, sizeof info);
    aplomb_figure_describe(aplomb_character_figure(character.get()), &info, nullptr);
    return info;
}

struct Arrays {
    std::vector<double> translations, rotations;
};

Arrays pose_of(const Character& character, int clip, double seconds) {
    const auto count =
        static_cast<std::size_t>(aplomb_figure_joint_count(aplomb_character_figure(character.get())));
    Arrays pose{std::vector<double>(3 * count), std::vector<double>(4 * count)};
    aplomb_error error{};
    EXPECT_EQ(aplomb_character_pose(character.get(), clip, seconds, pose.translations.data(),
                                    pose.rotations.data(), &error),
              APLOMB_OK)
        << error.message;
    return pose;
}

aplomb_status write(const Character& character, int clip, double seconds, const Arrays& pose,
                    const std::filesystem::path& path, aplomb_error* error) {
    return aplomb_character_write(character.get(), clip, seconds, pose.translations.data(),
                                  pose.rotations.data(), path.c_str(), error);
}

} // namespace

TEST(Character, OpensAllThreeKinds) {
    const made::Folder folder;
    made::write(folder / "a.gltf", made::lay_figure().text());
    made::write(folder / "a.glb", made::lay_figure().glb());
    made::write(folder / "a.bvh", made::lay_figure_bvh());
    for (const char* name : {"a.gltf", "a.glb", "a.bvh"}) {
        const Character character = open(folder / name);
        ASSERT_TRUE(character);
        EXPECT_EQ(info_of(character).joint_count, 17);
        EXPECT_GE(aplomb_figure_find_role(aplomb_character_figure(character.get()), APLOMB_ROLE_FOOT,
                                          APLOMB_SIDE_LEFT),
                  0);
    }
    const Character bvh = open(folder / "a.bvh");
    EXPECT_STREQ(aplomb_character_clip_name(bvh.get(), 0), "motion");
    EXPECT_EQ(aplomb_character_clip_name(bvh.get(), 1), nullptr);
    EXPECT_EQ(aplomb_character_find_clip(bvh.get(), "motion"), 0);
    EXPECT_EQ(aplomb_character_find_clip(bvh.get(), "0"), 0);
    EXPECT_EQ(aplomb_character_find_clip(bvh.get(), "1"), -1);
    double times[2] = {-1, -1};
    EXPECT_EQ(aplomb_character_key_times(bvh.get(), 0, times, 2), 3);
    EXPECT_EQ(times[1], 0.5);
}

TEST(Character, UnitOfABvh) {
    const made::Folder folder;
    made::write(folder / "a.bvh", made::lay_figure_bvh()); // centimetres: no person is 170 m tall
    const aplomb_figure_info plain = info_of(open(folder / "a.bvh"));
    EXPECT_NEAR(plain.stature * plain.metres_per_unit, 1.70, 1e-9);
    aplomb_character_options options = defaults();
    options.stature = 1.2;
    const aplomb_figure_info child = info_of(open(folder / "a.bvh", &options));
    EXPECT_NEAR(child.stature * child.metres_per_unit, 1.2, 1e-9);
    options.metres_per_unit = 0.01;
    EXPECT_EQ(info_of(open(folder / "a.bvh", &options)).metres_per_unit, 0.01);
}

TEST(Character, RoundTripsByteForByte) {
    const made::Folder folder;
    made::Gltf file = made::lay_figure();
    file.track(0, 1, "translation", {0, 1}, {0, 0.92f, 0, 0, 0.9f, 0.1f});
    made::write(folder / "a.gltf", file.text());
    made::write(folder / "a.glb", file.glb());
    made::write(folder / "a.bvh", made::lay_figure_bvh());
    for (const std::string name : {"a.gltf", "a.glb", "a.bvh"}) {
        const Character character = open(folder / name);
        for (const int clip : {-1, 0})
            for (const double seconds : {0.0, 0.37, 1.0}) {
                aplomb_error error{};
                EXPECT_EQ(write(character, clip, seconds, pose_of(character, clip, seconds),
                                folder / ("out" + name), &error),
                          APLOMB_OK)
                    << error.message;
                EXPECT_EQ(made::read(folder / ("out" + name)), made::read(folder / name));
            }
    }
}

TEST(Character, WritesOverItsOwnFile) {
    const made::Folder folder;
    made::write(folder / "a.glb", made::lay_figure().glb());
    const Character character = open(folder / "a.glb");
    Arrays pose = pose_of(character, -1, 0);
    pose.translations[1] += 0.05;
    EXPECT_EQ(write(character, -1, 0, pose, folder / "a.glb", nullptr), APLOMB_OK);
    EXPECT_NEAR(pose_of(open(folder / "a.glb"), -1, 0).translations[1], 0.97, 1e-12);
}

TEST(Character, BadArgumentsAreNamed) {
    const made::Folder folder;
    made::write(folder / "a.bvh", made::lay_figure_bvh());
    const Character character = open(folder / "a.bvh");
    Arrays pose = pose_of(character, 0, 0);
    aplomb_error error{};
    EXPECT_EQ(
        aplomb_character_pose(character.get(), 4, 0, pose.translations.data(), pose.rotations.data(), &error),
        APLOMB_BAD_ARGUMENT);
    EXPECT_STREQ(error.field, "clip");
    EXPECT_EQ(aplomb_character_pose(character.get(), 0, NAN, pose.translations.data(), pose.rotations.data(),
                                    &error),
              APLOMB_BAD_ARGUMENT);
    EXPECT_STREQ(error.field, "seconds");
    EXPECT_EQ(aplomb_character_pose(nullptr, 0, 0, pose.translations.data(), pose.rotations.data(), &error),
              APLOMB_BAD_ARGUMENT);
    EXPECT_EQ(aplomb_character_open(nullptr, nullptr, nullptr, &error), APLOMB_BAD_ARGUMENT);
    EXPECT_EQ(write(character, 0, 0, pose, folder / "a.glb", &error), APLOMB_BAD_ARGUMENT);
    EXPECT_NE(std::string(error.message).find("must end in .bvh"), std::string::npos);
    pose.rotations[7] = 3;
    EXPECT_EQ(write(character, 0, 0, pose, folder / "b.bvh", &error), APLOMB_BAD_POSE);
    EXPECT_EQ(error.index, 1);
    EXPECT_FALSE(std::filesystem::exists(folder / "b.bvh"));
    pose.translations[4] = NAN;
    EXPECT_EQ(write(character, 0, 0, pose, folder / "b.bvh", &error), APLOMB_BAD_POSE);
    EXPECT_STREQ(error.field, "translations");
    aplomb_character_close(nullptr);
    EXPECT_EQ(aplomb_character_clip_count(nullptr), 0);
}

TEST(Character, FilesThatCannotBe) {
    const made::Folder folder;
    const std::string gone = (folder / "gone.glb").string();
    EXPECT_EQ(failure(gone, APLOMB_CANNOT_OPEN), "cannot read '" + gone + "': No such file or directory.");
    made::write(folder / "a.txt", "hello");
    const std::string text = (folder / "a.txt").string();
    EXPECT_EQ(failure(text, APLOMB_BAD_FILE), "'" + text + "': it is neither glTF 2.0 nor BVH.");
    aplomb_character_options options = defaults();
    options.struct_size = 4000;
    EXPECT_NE(failure(text, APLOMB_WRONG_VERSION, &options).find("struct_size is 4000"), std::string::npos);
    options = defaults();
    options.stature = -1;
    EXPECT_NE(failure(text, APLOMB_BAD_ARGUMENT, &options).find("stature"), std::string::npos);
    made::write(folder / "one.bvh", "HIERARCHY\nROOT a\n{\n}\n");
    EXPECT_NE(failure(folder / "one.bvh", APLOMB_BAD_FIGURE), "");
}

TEST(Description, GivesTheFigureAgain) {
    const made::Folder folder;
    made::write(folder / "a.bvh", made::lay_figure_bvh());
    aplomb_character_options options = defaults();
    options.metres_per_unit = 0.01;
    options.mass_table = APLOMB_MASS_DE_LEVA_FEMALE;
    options.total_mass = 55;
    const Character first = open(folder / "a.bvh", &options);
    const std::string beside = (folder / "a.bvh.figure.json").string();
    ASSERT_EQ(aplomb_character_write_description(first.get(), beside.c_str(), nullptr), APLOMB_OK);
    const Character second = open(folder / "a.bvh"); // finds it beside the file
    EXPECT_EQ(info_of(second).metres_per_unit, 0.01);
    EXPECT_NEAR(info_of(second).total_mass, 55, 1e-9);
    for (int joint = 0; joint < 17; ++joint) {
        aplomb_joint_info a, b;
        aplomb_joint_info_init(&a, sizeof a);
        aplomb_joint_info_init(&b, sizeof b);
        aplomb_figure_joint(aplomb_character_figure(first.get()), joint, &a, nullptr);
        aplomb_figure_joint(aplomb_character_figure(second.get()), joint, &b, nullptr);
        EXPECT_EQ(a.role, b.role) << a.name;
        EXPECT_EQ(a.side, b.side) << a.name;
        EXPECT_NEAR(a.mass, b.mass, 1e-12) << a.name;
        for (int k = 0; k < 3; ++k)
            EXPECT_NEAR(a.centre[k], b.centre[k], 1e-9) << a.name;
        for (int k = 0; k < 6; ++k) {
            EXPECT_NEAR(a.inertia[k], b.inertia[k], 1e-12) << a.name;
            EXPECT_TRUE(a.limits[k] == b.limits[k] || std::fabs(a.limits[k] - b.limits[k]) < 1e-15) << a.name;
        }
    }
    const std::string again = (folder / "again.json").string();
    ASSERT_EQ(aplomb_character_write_description(second.get(), again.c_str(), nullptr), APLOMB_OK);
    EXPECT_EQ(Json::parse(made::read(again))["joints"].size(), 17u);
}

TEST(Description, MistakesAreNamedWithWhatIsNear) {
    const std::vector<std::string> names = {"Hips", "LeftFoot", "RightFoot", "Twin", "Twin"};
    const std::pair<std::string, std::string> cases[] = {
        {"{", "the description is not valid JSON in UTF-8"},
        {"{}", "the description lacks the format's version; add \"aplomb_figure\": 1"},
        {R"({"aplomb_figure": 2})", "the description: 'aplomb_figure' must be 1, the format's version"},
        {R"({"aplomb_figure": 1, "metre_per_unit": 1})",
         "the description: unknown key 'metre_per_unit'; near: 'metres_per_unit'"},
        {R"({"aplomb_figure": 1, "metres_per_unit": 0})",
         "the description: 'metres_per_unit' is not a number above 0"},
        {R"({"aplomb_figure": 1, "up": "y"})",
         "the description: 'up' is 'y'; it must be one of 'X', 'Y', 'Z', '-X', '-Y', '-Z'"},
        {R"({"aplomb_figure": 1, "joints": {"LeftFot": {}}})",
         "'joints': no joint is called 'LeftFot'; near: 'LeftFoot'"},
        {R"({"aplomb_figure": 1, "joints": {"Twin": {}}})",
         "'joints': more than one joint is called 'Twin'; give its number, as '#3'"},
        {R"({"aplomb_figure": 1, "joints": {"#9": {}}})", "'joints': there is no joint #9 among 5"},
        {R"({"aplomb_figure": 1, "joints": {"Hips": {"rol": "hips"}}})",
         "joint 'Hips': unknown key 'rol'; near: 'role'"},
        {R"({"aplomb_figure": 1, "joints": {"Hips": {"role": "hand bag"}}})",
         "joint 'Hips': 'role' is 'hand bag'; it must be one of 'root', 'hips', 'spine', 'neck', 'head', "
         "'shoulder girdle', 'upper arm', 'lower arm', 'hand', 'thigh', 'shank', 'foot', 'toe', 'tail', "
         "'prop', "
         "'helper'"},
        {R"({"aplomb_figure": 1, "joints": {"Hips": {"mass": -1}}})",
         "joint 'Hips': 'mass' is not a number of 0 or more"},
        {R"({"aplomb_figure": 1, "joints": {"Hips": {"centre": [1]}}})",
         "joint 'Hips': 'centre' is not a list of 3 finite numbers"},
        {R"({"aplomb_figure": 1, "joints": {"Hips": {"limits": {"twist_left": 3}}}})",
         "joint 'Hips': 'twist_left' is not [lowest, highest] in degrees"},
        {R"({"aplomb_figure": 1, "soles": [{"joint": "LeftFoot", "points": []}]})",
         "sole 0: 'points' is not a list of 1 to 16 points"},
    };
    for (const auto& [text, message] : cases) {
        try {
            read_description(text, names);
            ADD_FAILURE() << text;
        } catch (const Fault& fault) {
            EXPECT_EQ(fault.message, message);
        }
    }
}

TEST(Description, PartsOnlyAndNumbers) {
    const made::Folder folder;
    made::write(folder / "a.gltf", made::lay_figure().text());
    made::write(folder / "d.json", R"({"aplomb_figure": 1, "joints": {
        "Hips": {"mass": 12.5}, "#4": {"limits": {"lean_right": [null, 30]}}},
        "soles": [{"joint": "LeftFoot", "points": [[-0.05, -0.07, -0.05], [0.05, -0.07, -0.05], [0, -0.07, 0.2]]}]})");
    aplomb_character_options options = defaults();
    const std::string path = (folder / "d.json").string();
    options.description = path.c_str();
    const Character character = open(folder / "a.gltf", &options);
    ASSERT_TRUE(character);
    aplomb_joint_info hips, head;
    aplomb_joint_info_init(&hips, sizeof hips);
    aplomb_joint_info_init(&head, sizeof head);
    aplomb_figure_joint(aplomb_character_figure(character.get()), 0, &hips, nullptr);
    aplomb_figure_joint(aplomb_character_figure(character.get()), 4, &head, nullptr);
    EXPECT_EQ(hips.mass, 12.5);
    EXPECT_NEAR(head.limits[5], 30 * aplomb::degree, 1e-12);
    EXPECT_TRUE(std::isinf(head.limits[4]));
    options.description = "/nowhere/at all.json";
    EXPECT_EQ(failure(folder / "a.gltf", APLOMB_CANNOT_OPEN, &options),
              "cannot read '/nowhere/at all.json': No such file or directory.");
}
