// SPDX-License-Identifier: MIT
// Cameras of glTF files (glTF 2.0, section 3.10).
#include "aplomb/files.h"
#include "io/gltf_document.h"

#include "made_files.h"
#include "opened.h"

#include <gtest/gtest.h>

#include <cmath>
#include <memory>

using aplomb::Quat;
using aplomb::Vec3;
using aplomb::io::Json;
using made::Gltf;

namespace {

using made::Character;

const double half = std::sqrt(0.5);

Character open(const std::string& bytes, std::string* message = nullptr, const char* name = "c.gltf") {
    const made::Folder folder;
    made::write(folder / name, bytes);
    aplomb_character* character = nullptr;
    aplomb_error error{};
    aplomb_character_open((folder / name).c_str(), nullptr, &character, &error);
    if (message != nullptr) *message = error.message;
    return Character(character);
}

aplomb_camera camera_of(const Character& character, int camera, int clip = -1, double seconds = 0) {
    aplomb_camera result{};
    aplomb_error error{};
    EXPECT_EQ(aplomb_character_camera(character.get(), camera, clip, seconds, &result, &error), APLOMB_OK)
        << error.message;
    return result;
}

Vec3 direction(const aplomb_camera& camera, const Vec3& own) {
    const double* q = camera.rotation;
    return rotate(Quat{q[0], q[1], q[2], q[3]}, own);
}

void expect_near(const Vec3& a, const Vec3& b) {
    EXPECT_NEAR(norm(a - b), 0, 1e-6) << a.x << " " << a.y << " " << a.z;
}
Vec3 place(const aplomb_camera& camera) {
    return {camera.position[0], camera.position[1], camera.position[2]};
}

/// A crane that carries a perspective camera, and a parallel one by itself.
Gltf filmed_figure() {
    Gltf file = made::lay_figure();
    file.json["cameras"] = Json::array(
        {{{"type", "perspective"}, {"perspective", {{"yfov", 0.7}, {"aspectRatio", 1.5}, {"znear", 0.1}}}},
         {{"type", "orthographic"},
          {"orthographic", {{"xmag", 2.0}, {"ymag", 1.0}, {"znear", 0.1}, {"zfar", 10}}}}});
    const int crane = file.node(
        "crane", -1, {{"translation", {1, 2, 3}}, {"rotation", {0, half, 0, half}}, {"scale", {2, 3, 2}}});
    file.node("first", crane, {{"camera", 0}, {"translation", {0, 1, -1}}});
    file.node("second", -1, {{"camera", 1}, {"translation", {0, 1, 5}}});
    file.track(0, crane, "translation", {0, 2}, {1, 2, 3, 1, 2, 7});
    return file;
}

} // namespace

TEST(Camera, PerspectiveUnderATurnedAndScaledNode) {
    const Character character = open(filmed_figure().text());
    ASSERT_TRUE(character);
    EXPECT_EQ(aplomb_character_camera_count(character.get()), 2);
    const aplomb_camera camera = camera_of(character, 0);
    // A quarter turn about Y takes -Z to -X; the offset is scaled by 2 and 3.
    expect_near(place(camera), {1 - 2, 2 + 3, 3});
    expect_near(direction(camera, {0, 0, -1}), {-1, 0, 0});
    expect_near(direction(camera, {0, 1, 0}), {0, 1, 0});
    EXPECT_EQ(camera.vertical_angle, 0.7);
    EXPECT_EQ(camera.aspect, 1.5);
    EXPECT_EQ(camera.height, 0);
}

TEST(Camera, Orthographic) {
    const aplomb_camera camera = camera_of(open(filmed_figure().text()), 1);
    expect_near(place(camera), {0, 1, 5});
    EXPECT_EQ(camera.vertical_angle, 0);
    EXPECT_EQ(camera.height, 2); // ymag is half of it
    EXPECT_EQ(camera.aspect, 2);
}

/// The crane moves; that it does is no key of the figure.
TEST(Camera, MovesWithAClip) {
    Gltf file = filmed_figure();
    file.track(0, 1, "rotation", {0, 1}, {0, 0, 0, 1, 0, 0, 0, 1});
    const Character character = open(file.text());
    expect_near(place(camera_of(character, 0, 0, 1)), {-1, 5, 5});
    expect_near(place(camera_of(character, 0, 0, 99)), {-1, 5, 7});
    expect_near(place(camera_of(character, 0)), {-1, 5, 3});
    double times[4] = {};
    EXPECT_EQ(aplomb_character_key_times(character.get(), 0, times, 4), 2);
    EXPECT_EQ(times[1], 1);
}

TEST(Camera, WrongUse) {
    const Character character = open(filmed_figure().text());
    aplomb_camera camera{};
    aplomb_error error{};
    EXPECT_EQ(aplomb_character_camera(character.get(), 2, -1, 0, &camera, &error), APLOMB_BAD_ARGUMENT);
    EXPECT_NE(std::string(error.message).find("camera is 2; the file has 2 cameras"), std::string::npos);
    EXPECT_EQ(aplomb_character_camera(character.get(), 0, 1, 0, &camera, &error), APLOMB_BAD_ARGUMENT);
    EXPECT_EQ(aplomb_character_camera(character.get(), 0, 0, NAN, &camera, &error), APLOMB_BAD_ARGUMENT);
    EXPECT_EQ(aplomb_character_camera(character.get(), 0, 0, 0, nullptr, &error), APLOMB_BAD_ARGUMENT);
    EXPECT_EQ(aplomb_character_camera(nullptr, 0, 0, 0, &camera, &error), APLOMB_BAD_ARGUMENT);
    EXPECT_EQ(aplomb_character_camera_count(nullptr), 0);
    EXPECT_EQ(aplomb_character_camera_count(open(made::lay_figure_bvh(), nullptr, "c.bvh").get()), 0);
}

TEST(Camera, BrokenIsRefused) {
    std::string message;
    Gltf file = filmed_figure();
    file.json["cameras"][0]["perspective"]["yfov"] = 0;
    EXPECT_FALSE(open(file.text(), &message));
    EXPECT_NE(message.find("camera 0: 'yfov' is not a number above 0"), std::string::npos) << message;
    file = filmed_figure();
    file.json["cameras"][1]["type"] = "fisheye";
    EXPECT_FALSE(open(file.text(), &message));
    EXPECT_NE(message.find("camera 1 is neither perspective nor orthographic"), std::string::npos) << message;
}
