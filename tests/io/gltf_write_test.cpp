// SPDX-License-Identifier: MIT
#include "io/gltf_character.h"

#include "made_files.h"

#include "io/corrected_frames.h"
#include "io/disk.h"
#include "io/uri.h"

#include <gtest/gtest.h>

using namespace aplomb;
using namespace aplomb::io;
using made::Gltf;

namespace {

const float half = 0.70710678f;
const Quat quarter_x = exp_rotation({pi / 2, 0, 0});

Gltf moving(const std::string& interpolation = "LINEAR") {
    Gltf file;
    file.node("base", -1, {{"extras", {{"note", "kept"}}}});
    file.node("top", 0, {{"translation", Json::array({0, 2, 0})}});
    file.json["skins"].push_back({{"joints", Json::array({0, 1})}});
    if (interpolation == "CUBICSPLINE")
        file.track(0, 1, "rotation", {0, 1, 2},
                   {0,    0,    0, 0, 0, 0, 0, 1, 0, 0, 0.5f, 0, 0, 0, 0, 0, 0, 0,
                    half, half, 0, 0, 0, 0, 0, 0, 0, 0, 0,    0, 1, 0, 0, 0, 0, 0},
                   interpolation);
    else
        file.track(0, 1, "rotation", {0, 1, 2}, {0, 0, 0, 1, 0, 0, half, half, 0, 0, 1, 0}, interpolation);
    return file;
}

/// Joint 1 turned otherwise at one moment, written, read again.
std::string written(const std::string& bytes, int clip, double seconds, const Quat& turn) {
    const auto character = open_gltf(bytes, "", "");
    Pose pose = character->pose(clip, seconds);
    pose.rotations[1] = turn;
    return character->rewritten(clip, {{seconds, pose, {{1, false, true}}}}, "out.gltf");
}

double angle_between(const Quat& a, const Quat& b) {
    return norm(log_rotation(conjugate(a) * b));
}

Json json_of(const std::string& bytes) {
    return GltfDocument(bytes, "").json();
}

} // namespace

TEST(GltfWrite, NothingChangedIsTheSameBytes) {
    for (const std::string& bytes : {moving().text(), moving().glb()}) {
        const auto character = open_gltf(bytes, "", "");
        EXPECT_EQ(character->rewritten(0, {{1, character->pose(0, 1), {}}}, "out.gltf"), bytes);
    }
}

TEST(GltfWrite, AKeyIsReplacedAndTheOthersStay) {
    for (const std::string kind : {"LINEAR", "STEP", "CUBICSPLINE"}) {
        for (const bool binary : {false, true}) {
            const std::string old_bytes = binary ? moving(kind).glb() : moving(kind).text();
            const auto before = open_gltf(old_bytes, "", ""),
                       after = open_gltf(written(old_bytes, 0, 1, quarter_x), "", "");
            EXPECT_LT(angle_between(after->pose(0, 1).rotations[1], quarter_x), 1e-6) << kind;
            for (const double t : {0.0, 2.0})
                EXPECT_EQ(angle_between(after->pose(0, t).rotations[1], before->pose(0, t).rotations[1]), 0)
                    << kind;
            EXPECT_EQ(after->key_times(0), before->key_times(0));
        }
    }
}

TEST(GltfWrite, AKeyIsPutInBetween) {
    for (const std::string kind : {"LINEAR", "STEP", "CUBICSPLINE"}) {
        const std::string old_bytes = moving(kind).text();
        const auto before = open_gltf(old_bytes, "", ""),
                   after = open_gltf(written(old_bytes, 0, 0.5, quarter_x), "", "");
        EXPECT_LT(angle_between(after->pose(0, 0.5).rotations[1], quarter_x), 1e-6) << kind;
        for (const double t : {0.0, 1.0, 1.3, 2.0})
            EXPECT_EQ(angle_between(after->pose(0, t).rotations[1], before->pose(0, t).rotations[1]), 0)
                << kind;
        EXPECT_EQ(after->key_times(0), (std::vector<double>{0, 0.5, 1, 2}));
    }
}

// Splitting a Hermite segment with its own value and slope leaves the curve as it was.
TEST(GltfWrite, ACubicKeyOfTheSameValueLeavesTheCurve) {
    const std::string old_bytes = moving("CUBICSPLINE").text();
    const auto before = open_gltf(old_bytes, "", "");
    const auto after = open_gltf(written(old_bytes, 0, 0.5, before->pose(0, 0.5).rotations[1]), "", "");
    for (double t = 0; t < 2; t += 0.05)
        EXPECT_LT(angle_between(after->pose(0, t).rotations[1], before->pose(0, t).rotations[1]), 0.02) << t;
}

TEST(GltfWrite, AJointWithoutATrackGetsOne) {
    const std::string old_bytes = moving().text();
    const auto before = open_gltf(old_bytes, "", "");
    Pose pose = before->pose(0, 1);
    pose.translations[1] = {0, 3, 0};
    const auto after = open_gltf(before->rewritten(0, {{1, pose, {{1, true, false}}}}, "out.gltf"), "", "");
    EXPECT_EQ(after->pose(0, 1).translations[1].y, 3);
    EXPECT_EQ(after->pose(0, 0).translations[1].y, 2); // as it was at the neighbouring keys
    EXPECT_EQ(after->pose(0, 2).translations[1].y, 2);
    EXPECT_EQ(angle_between(after->pose(0, 1).rotations[1], before->pose(0, 1).rotations[1]), 0);
}

TEST(GltfWrite, SharedSamplersDoNotLeak) {
    Gltf file = moving();
    Json& animation = file.json["animations"][0];
    animation["channels"].push_back({{"sampler", 0}, {"target", {{"node", 0}, {"path", "rotation"}}}});
    file.json["animations"].push_back(animation); // a second clip over the same accessors
    const std::string old_bytes = file.text();
    const auto before = open_gltf(old_bytes, "", ""),
               after = open_gltf(written(old_bytes, 0, 1, quarter_x), "", "");
    EXPECT_LT(angle_between(after->pose(0, 1).rotations[1], quarter_x), 1e-6);
    EXPECT_EQ(angle_between(after->pose(0, 1).rotations[0], before->pose(0, 1).rotations[0]), 0);
    EXPECT_EQ(angle_between(after->pose(1, 1).rotations[1], before->pose(1, 1).rotations[1]), 0);
}

TEST(GltfWrite, WhatIsUnknownSurvives) {
    Gltf file = moving();
    file.json["extensionsUsed"] = Json::array({"XYZ_made_up"});
    file.json["extensions"] = {{"XYZ_made_up", {{"b", 1.5}, {"a", Json::array({true, nullptr})}}}};
    file.json["animations"][0]["samplers"][0]["extras"] = "kept too";
    const Json before = json_of(file.glb()), after = json_of(written(file.glb(), 0, 1, quarter_x));
    for (const char* key : {"asset", "nodes", "skins", "extensions", "extensionsUsed"})
        EXPECT_EQ(after[key], before[key]);
    for (const char* list : {"accessors", "bufferViews"})
        for (std::size_t i = 0; i < before[list].size(); ++i)
            EXPECT_EQ(after[list][i], before[list][i]);
    EXPECT_EQ(after["animations"][0]["samplers"][0], before["animations"][0]["samplers"][0]);
    EXPECT_EQ(after["animations"][0]["samplers"][1]["extras"], "kept too");
    EXPECT_EQ(after["buffers"].size(), 1u);
}

TEST(GltfWrite, ChunksOfTheContainerSurvive) {
    std::string bytes = moving().glb();
    const std::string extra("\x04\x00\x00\x00WXYZ\x01\x02\x03\x04", 12);
    const std::uint32_t length = static_cast<std::uint32_t>(bytes.size() + extra.size());
    bytes += extra;
    for (std::size_t k = 0; k < 4; ++k)
        bytes[8 + k] = static_cast<char>((length >> (8 * k)) & 0xFFu);
    const std::string after = written(bytes, 0, 1, quarter_x);
    EXPECT_EQ(after.substr(after.size() - 12), extra);
    EXPECT_EQ(GltfDocument(after, "").chunks()[0].bytes.substr(0, moving().bytes.size()), moving().bytes);
}

TEST(GltfWrite, NodesWithoutAnAnimation) {
    Gltf file = moving();
    file.json["nodes"][1] = {{"name", "top"},
                             {"matrix", Json::array({2, 0, 0, 0, 0, 2, 0, 0, 0, 0, 2, 0, 0, 2, 0, 1})}};
    file.json.erase("animations");
    Json after = json_of(written(file.text(), -1, 0, quarter_x));
    EXPECT_FALSE(after["nodes"][1].contains("rotation")); // a matrix stays a matrix
    const std::vector<double> m = after["nodes"][1]["matrix"].get<std::vector<double>>();
    EXPECT_NEAR(m[6], 2, 1e-12);
    EXPECT_NEAR(m[9], -2, 1e-12);
    EXPECT_EQ(m[13], 2);
    EXPECT_EQ(after["nodes"][0], file.json["nodes"][0]);

    after = json_of(written(moving().text(), -1, 0, quarter_x));
    EXPECT_NEAR(after["nodes"][1]["rotation"][0].get<double>(), std::sqrt(0.5), 1e-15);
    EXPECT_EQ(after["nodes"][1]["translation"], Json::array({0, 2, 0}));
    EXPECT_EQ(after["animations"], moving().json["animations"]);
}

TEST(GltfWrite, JointZeroGoesBackBelowItsArmature) {
    Gltf file;
    file.node("armature", -1,
              {{"translation", Json::array({10, 0, 0})},
               {"rotation", Json::array({0, 0, half, half})},
               {"scale", Json::array({0.01, 0.01, 0.01})}});
    file.node("base", 0, {{"translation", Json::array({100, 20, 0})}});
    file.node("top", 1, {{"translation", Json::array({0, 50, 0})}});
    file.json["skins"].push_back({{"joints", Json::array({1, 2})}});
    const auto before = open_gltf(file.text(), "", "");
    Pose pose = before->pose(-1, 0);
    pose.translations[0] += {0.1, 0.2, 0.3};
    pose.rotations[0] = quarter_x;
    pose.translations[1].y += 0.25;
    const auto after =
        open_gltf(before->rewritten(-1, {{0, pose, {{0, true, true}, {1, true, false}}}}, "x.gltf"), "", "");
    const Pose again = after->pose(-1, 0);
    EXPECT_NEAR(norm(again.translations[0] - pose.translations[0]), 0, 1e-12);
    EXPECT_LT(angle_between(again.rotations[0], quarter_x), 1e-12);
    EXPECT_NEAR(again.translations[1].y, 0.75, 1e-12);
}

TEST(GltfWrite, ANewFolderStillFindsTheOldBuffers) {
    const made::Folder folder;
    Gltf file = moving();
    file.json["images"] = Json::array({{{"uri", "pictures/skin%20one.png"}}});
    made::write(folder / "in/data.bin", file.bytes);
    made::write(folder / "in/a.gltf", file.text_beside("data.bin"));
    const auto before = open_gltf(made::read(folder / "in/a.gltf"), (folder / "in").string(), "");
    Pose pose = before->pose(0, 1);
    pose.rotations[1] = quarter_x;
    made::write(folder / "out/b.gltf",
                before->rewritten(0, {{1, pose, {{1, false, true}}}}, folder / "out/b.gltf"));

    const Json json = json_of(made::read(folder / "out/b.gltf"));
    EXPECT_EQ(json["buffers"][0]["uri"], "../in/data.bin");
    EXPECT_EQ(json["images"][0]["uri"], "../in/pictures/skin%20one.png");
    EXPECT_TRUE(is_data_uri(json["buffers"][1]["uri"].get<std::string>())); // our bytes alone
    const auto after = open_gltf(made::read(folder / "out/b.gltf"), (folder / "out").string(), "");
    EXPECT_LT(angle_between(after->pose(0, 1).rotations[1], quarter_x), 1e-6);
    EXPECT_EQ(made::read(folder / "in/data.bin"), file.bytes);
}

TEST(GltfWrite, IndentedTextStaysIndented) {
    Gltf file = moving();
    file.json["buffers"].push_back(
        {{"byteLength", file.bytes.size()},
         {"uri", "data:application/octet-stream;base64," + base64_encode(file.bytes)}});
    EXPECT_EQ(written(file.json.dump(3), 0, 1, quarter_x).substr(0, 8), "{\n   \"as");
    EXPECT_EQ(written(file.json.dump(1, '\t'), 0, 1, quarter_x).substr(0, 6), "{\n\t\"as");
}
