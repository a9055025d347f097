// SPDX-License-Identifier: MIT
#include "io/gltf_accessor.h"
#include "io/gltf_character.h"

#include "made_files.h"

#include <gtest/gtest.h>

using namespace aplomb;
using namespace aplomb::io;
using made::Gltf;

namespace {

const float half = 0.70710678f;

/// Two joints in a line along Y.
Gltf rod() {
    Gltf file;
    file.node("base", -1, {{"translation", Json::array({1, 0, 0})}});
    file.node("top", 0, {{"translation", Json::array({0, 2, 0})}});
    file.json["skins"].push_back({{"joints", Json::array({0, 1})}});
    return file;
}

std::unique_ptr<CharacterFile> open(const Gltf& file) {
    return open_gltf(file.text(), "", "");
}

void expect_near(const Vec3& a, const Vec3& b, double tolerance = 1e-6) {
    EXPECT_NEAR(norm(a - b), 0, tolerance) << a.x << " " << a.y << " " << a.z;
}
void expect_same_turn(const Quat& a, const Quat& b, double tolerance = 1e-6) {
    EXPECT_NEAR(norm(log_rotation(conjugate(a) * b)), 0, tolerance)
        << a.x << " " << a.y << " " << a.z << " " << a.w;
}

} // namespace

TEST(GltfSampling, LinearTranslation) {
    Gltf file = rod();
    file.track(0, 1, "translation", {1, 3}, {0, 0, 0, 4, 8, 0});
    const auto character = open(file);
    expect_near(character->pose(0, 1.5).translations[1], {1, 2, 0});
    expect_near(character->pose(0, 0).translations[1], {0, 0, 0});  // before the first key
    expect_near(character->pose(0, 99).translations[1], {4, 8, 0}); // after the last
    EXPECT_EQ(character->key_times(0), (std::vector<double>{1, 3}));
    EXPECT_EQ(character->clip_name(0), "move0");
}

TEST(GltfSampling, StepHoldsUntilTheNextKey) {
    Gltf file = rod();
    file.track(0, 1, "translation", {0, 1}, {0, 1, 0, 0, 5, 0}, "STEP");
    const auto character = open(file);
    expect_near(character->pose(0, 0.999).translations[1], {0, 1, 0});
    expect_near(character->pose(0, 1).translations[1], {0, 5, 0});
}

TEST(GltfSampling, RotationTakesTheShortWay) {
    Gltf file = rod();
    // 0 and 90 degrees about Z, the second with the other sign.
    file.track(0, 1, "rotation", {0, 1}, {0, 0, 0, 1, 0, 0, -half, -half});
    const auto character = open(file);
    for (const double u : {0.25, 0.5, 0.75})
        expect_same_turn(character->pose(0, u).rotations[1], exp_rotation({0, 0, u * pi / 2}));
}

// Hermite basis of glTF 2.0, appendix C.5: at the middle p = (v0 + v1)/2 + td (b0 - a1)/8.
TEST(GltfSampling, CubicSpline) {
    Gltf file = rod();
    file.track(0, 1, "translation", {0, 2},
               {9, 9, 9, 0, 0, 0, 4, 0, 0, /* key 1 */ 0, 8, 0, 0, 1, 0, 9, 9, 9}, "CUBICSPLINE");
    const auto character = open(file);
    expect_near(character->pose(0, 0).translations[1], {0, 0, 0});
    expect_near(character->pose(0, 2).translations[1], {0, 1, 0});
    expect_near(character->pose(0, 1).translations[1], {2 * 4 / 8.0, 0.5 - 2 * 8 / 8.0, 0});
}

TEST(GltfSampling, CubicRotationIsNormalised) {
    Gltf file = rod();
    file.track(0, 1, "rotation", {0, 1},
               {0, 0, 0, 0, 0, 0, 0, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, half, half, 0, 0, 0, 0}, "CUBICSPLINE");
    const Quat q = open(file)->pose(0, 0.5).rotations[1];
    EXPECT_NEAR(dot(q, q), 1, 1e-15);
    expect_same_turn(q, exp_rotation({0, 0, pi / 4}));
}

TEST(GltfAccessor, NormalisedIntegersOfAllKinds) {
    struct Case {
        int component;
        std::string raw;
        double expected;
    };
    const Case cases[] = {{5120, std::string("\x7F\x80\x00\x40", 4), 1},
                          {5121, std::string("\xFF\x00\x00\x80", 4), 1},
                          {5122, std::string("\xFF\x7F\x00\x80\x00\x00\x00\x40", 8), 1},
                          {5123, std::string("\xFF\xFF\x00\x00\x00\x00\x00\x80", 8), 1}};
    for (const Case& c : cases) {
        Gltf file = rod();
        const int index = file.accessor("VEC4", c.component, 1, c.raw, true);
        GltfDocument document(file.text(), "");
        const std::vector<double> values = read_accessor(document, static_cast<std::size_t>(index), "VEC4");
        EXPECT_EQ(values[0], c.expected);
        EXPECT_EQ(values[1], c.component % 2 == 0 ? -1 : 0); // -128 and -32768 are -1 as well
        EXPECT_NEAR(values[3], 0.5, 0.01);
    }
}

TEST(GltfAccessor, StrideAndOffset) {
    Gltf file = rod();
    file.floats("SCALAR", {9, 1, 2, 3, 9, 4, 5, 6, 9});
    file.json["bufferViews"].back()["byteStride"] = 16;
    file.json["accessors"].back() = {
        {"bufferView", 0}, {"byteOffset", 4}, {"componentType", 5126}, {"count", 2}, {"type", "VEC3"}};
    GltfDocument document(file.text(), "");
    EXPECT_EQ(read_accessor(document, 0, "VEC3"), (std::vector<double>{1, 2, 3, 4, 5, 6}));
}

TEST(GltfAccessor, SparseOverZeros) {
    Gltf file = rod();
    file.accessor("SCALAR", 5123, 2, std::string("\x01\x00\x03\x00", 4));
    file.floats("SCALAR", {7, 8});
    file.json["accessors"].push_back({{"componentType", 5126},
                                      {"count", 5},
                                      {"type", "SCALAR"},
                                      {"sparse",
                                       {{"count", 2},
                                        {"indices", {{"bufferView", 0}, {"componentType", 5123}}},
                                        {"values", {{"bufferView", 1}}}}}});
    GltfDocument document(file.text(), "");
    EXPECT_EQ(read_accessor(document, 2, "SCALAR"), (std::vector<double>{0, 7, 0, 8, 0}));
}

TEST(GltfSkeleton, ParentsComeFirstAndNodesBetweenAreJoints) {
    Gltf file;
    file.node("leaf", -1); // 0, joint
    file.node("root", -1); // 1, joint
    file.json["nodes"][1]["children"] = Json::array({2});
    file.node("between", -1); // 2, not in the skin
    file.json["nodes"][2]["children"] = Json::array({0});
    file.json["skins"].push_back({{"joints", Json::array({0, 1})}});
    const auto character = open(file);
    ASSERT_EQ(character->joints().size(), 3u);
    EXPECT_EQ(character->joints()[0].name, "root");
    EXPECT_EQ(character->joints()[1].name, "between");
    EXPECT_EQ(character->joints()[2].name, "leaf");
    EXPECT_EQ(character->joints()[2].parent, 1);
}

TEST(GltfSkeleton, SkinByNameOrNumberAndEndNodes) {
    Gltf file = made::lay_figure();
    file.json["skins"].push_back({{"name", "legs"}, {"joints", Json::array({12, 13, 14})}});
    EXPECT_EQ(open_gltf(file.text(), "", "legs")->joints().size(), 3u);
    EXPECT_EQ(open_gltf(file.text(), "", "1")->joints().size(), 3u);
    const auto character = open(file);
    ASSERT_EQ(character->joints().size(), 17u);
    expect_near(character->joints()[4].tip, {0, 0.2, 0});
    EXPECT_TRUE(std::isnan(character->joints()[7].tip.x));
}

// A file of motion alone: the largest tree, from where it branches on or moves. What is seen, does not move and has
// no place of its own is none of it.
TEST(GltfSkeleton, WithoutASkinTheJointsAreTheNodes) {
    Gltf file;
    file.node("camera", -1, {{"camera", 0}});
    file.json["cameras"] =
        Json::array({{{"type", "perspective"}, {"perspective", {{"yfov", 1}, {"znear", 1}}}}});
    file.node("scene", -1, {{"translation", Json::array({5, 0, 0})}});
    file.node("hips", 1, {{"translation", Json::array({0, 1, 0})}});
    file.node("thigh", 2);
    file.node("hat", 2, {{"mesh", 0}});
    file.json["meshes"] = Json::array({{{"primitives", Json::array()}}});
    file.node("spine", 2, {{"translation", Json::array({0, .3, 0})}});
    file.node("skull", 5, {{"mesh", 0}, {"translation", Json::array({0, .4, 0})}});
    file.track(0, 5, "rotation", {0, 1}, {0, 0, 0, 1, 0, 0, half, half});
    const auto names_of = [](const CharacterFile& character) {
        std::string names;
        for (const SkeletonJoint& joint : character.joints())
            names += joint.name + " ";
        return names;
    };
    const auto character = open(file);
    EXPECT_EQ(names_of(*character), "hips thigh spine skull ");
    expect_near(character->pose(0, 0).translations[0], {5, 1, 0});
    EXPECT_EQ(character->skin(), nullptr);

    file.track(1, 1, "translation", {0, 1}, {5, 0, 0, 6, 0, 0});
    file.track(2, 4, "rotation", {0, 1}, {0, 0, 0, 1, 0, 0, half, half});
    EXPECT_EQ(names_of(*open(file)), "scene hips thigh hat spine skull ");
}

TEST(GltfPose, NodesAboveAreFoldedIntoJointZero) {
    Gltf file;
    file.node("armature", -1,
              {{"translation", Json::array({10, 0, 0})},
               {"rotation", Json::array({0, 0, half, half})},
               {"scale", Json::array({2, 2, 2})}});
    file.node("base", 0, {{"translation", Json::array({1, 0, 0})}, {"scale", Json::array({3, 3, 3})}});
    file.node("top", 1, {{"translation", Json::array({0, 1, 0})}});
    file.node("top_end", 2, {{"translation", Json::array({0, 1, 0})}});
    file.json["skins"].push_back({{"joints", Json::array({1, 2})}});
    const auto character = open(file);
    const Pose pose = character->pose(-1, 0);
    expect_near(pose.translations[0], {10, 2, 0}); // 90 degrees about Z, twice the size
    expect_same_turn(pose.rotations[0], exp_rotation({0, 0, pi / 2}));
    expect_near(pose.translations[1], {0, 6, 0});
    expect_near(character->joints()[1].tip, {0, 6, 0});
}

TEST(GltfPose, MatrixEqualsItsParts) {
    Gltf file = rod();
    // 90 degrees about X, scale 2, translation 4 5 6, column by column.
    file.json["nodes"][0].erase("translation");
    file.json["nodes"][0]["matrix"] = Json::array({2, 0, 0, 0, 0, 0, 2, 0, 0, -2, 0, 0, 4, 5, 6, 1});
    const Pose pose = open(file)->pose(-1, 0);
    expect_near(pose.translations[0], {4, 5, 6});
    expect_same_turn(pose.rotations[0], exp_rotation({pi / 2, 0, 0}), 1e-12);
    expect_near(pose.translations[1], {0, 4, 0});
}

TEST(GltfPose, AnAnimatedArmatureMovesJointZero) {
    Gltf file = made::lay_figure();
    file.track(0, 0, "translation", {0, 1}, {0, 0, 0, 0, 0, 5});
    expect_near(open(file)->pose(0, 1).translations[0], {0, 0.92, 5});
}

TEST(GltfPose, UnevenScaleOnALastJointIsHarmless) {
    Gltf file = rod();
    file.json["nodes"][1]["scale"] = Json::array({1, 2, 3});
    EXPECT_NO_THROW(open(file)->pose(-1, 0));
}
