// SPDX-License-Identifier: MIT
// A file without clips has its pose in its nodes. The figure is measured where the skin is bound, so that it stays
// the same figure whatever pose the nodes hold.
#include "io/bound_pose.h"

#include "aplomb/files.h"
#include "made_files.h"
#include "opened.h"

#include <gtest/gtest.h>

#include <cstdint>
#include <cstring>
#include <string>
#include <vector>

namespace {

using aplomb::io::Json;
using made::Character;

Character open(const std::filesystem::path& path, double unit = 0, int32_t up = 0, int32_t forward = 0) {
    aplomb_character_options options;
    aplomb_character_options_init(&options, sizeof options);
    options.metres_per_unit = unit, options.up_axis = up, options.forward_axis = forward;
    aplomb_character* character = nullptr;
    aplomb_error error{};
    EXPECT_EQ(aplomb_character_open(path.string().c_str(), &options, &character, &error), APLOMB_OK)
        << error.message;
    return Character(character);
}

Character beekeeper() {
    return open(APLOMB_SOURCE_DIR "/examples/beekeeper.glb");
}

int joint_count(const Character& character) {
    return aplomb_figure_joint_count(aplomb_character_figure(character.get()));
}

/// The file again with a clip's first pose in its nodes.
void put_in_nodes(const Character& character, int clip, const std::filesystem::path& path) {
    const auto joints = static_cast<std::size_t>(joint_count(character));
    std::vector<double> translations(3 * joints), rotations(4 * joints);
    aplomb_error error{};
    ASSERT_EQ(aplomb_character_pose(character.get(), clip, 0, translations.data(), rotations.data(), &error),
              APLOMB_OK);
    ASSERT_EQ(aplomb_character_write(character.get(), -1, 0, translations.data(), rotations.data(),
                                     path.string().c_str(), &error),
              APLOMB_OK)
        << error.message;
}

/// An armature over all that the scene had, a hundred times larger, aside, and turned: Z is up, X forward.
void put_below_an_armature(const std::filesystem::path& path) {
    const std::string bytes = made::read(path);
    std::uint32_t json_size = 0;
    std::memcpy(&json_size, bytes.data() + 12, sizeof json_size);
    made::Gltf file;
    file.json = Json::parse(bytes.substr(20, json_size));
    file.bytes = bytes.substr(20 + json_size + 8);
    Json& roots = file.json["scenes"][0]["nodes"];
    const Json armature = {{"name", "armature"},
                           {"rotation", {0.5, 0.5, 0.5, 0.5}},
                           {"scale", {100, 100, 100}},
                           {"translation", {30, 20, 10}},
                           {"children", roots}};
    roots = Json::array({file.json["nodes"].size()});
    file.json["nodes"].push_back(armature);
    made::write(path, file.glb());
}

void expect_same_figure(const Character& a, const Character& b, double tolerance) {
    const aplomb_figure *one = aplomb_character_figure(a.get()), *two = aplomb_character_figure(b.get());
    aplomb_error error{};
    aplomb_figure_info first, second;
    aplomb_figure_info_init(&first, sizeof first);
    aplomb_figure_info_init(&second, sizeof second);
    ASSERT_EQ(aplomb_figure_describe(one, &first, &error), APLOMB_OK);
    ASSERT_EQ(aplomb_figure_describe(two, &second, &error), APLOMB_OK);
    EXPECT_NEAR(second.stature * second.metres_per_unit, first.stature * first.metres_per_unit, tolerance);
    EXPECT_NEAR(second.total_mass, first.total_mass, 100 * tolerance);
    for (int joint = 0; joint < joint_count(a); ++joint) {
        aplomb_joint_info is, was;
        aplomb_joint_info_init(&is, sizeof is);
        aplomb_joint_info_init(&was, sizeof was);
        ASSERT_EQ(aplomb_figure_joint(one, joint, &was, &error), APLOMB_OK);
        ASSERT_EQ(aplomb_figure_joint(two, joint, &is, &error), APLOMB_OK);
        EXPECT_EQ(is.role, was.role) << was.name;
        EXPECT_NEAR(is.mass, was.mass, 100 * tolerance) << was.name;
    }
}

TEST(BoundPose, AnyPoseInTheNodesIsTheSameFigure) {
    const made::Folder folder;
    const Character keyed = beekeeper();
    for (int clip = 0; clip < aplomb_character_clip_count(keyed.get()); ++clip) {
        SCOPED_TRACE(aplomb_character_clip_name(keyed.get(), clip));
        put_in_nodes(keyed, clip, folder / "posed.glb");
        expect_same_figure(keyed, open(folder / "posed.glb"), 1e-5);
    }
}

TEST(BoundPose, BelowAnArmatureToo) {
    const made::Folder folder;
    const Character keyed = beekeeper();
    put_in_nodes(keyed, aplomb_character_find_clip(keyed.get(), "squat lift"), folder / "posed.glb");
    put_below_an_armature(folder / "posed.glb");
    const Character posed = open(folder / "posed.glb", 0.01, APLOMB_AXIS_Z, APLOMB_AXIS_X);
    ASSERT_EQ(joint_count(posed), joint_count(keyed));
    expect_same_figure(keyed, posed, 1e-5);
}

/// Hips and two joints of a spine that leans by `lean`, and bones that bind it upright.
struct Spine {
    std::vector<aplomb::io::SkeletonJoint> joints;
    aplomb::io::Pose posed, upright;
    aplomb::io::Skin skin;
};

Spine leaning_spine(double lean) {
    Spine s;
    aplomb::Vec3 height;
    for (int i = 0; i < 3; ++i) {
        s.joints.push_back({"joint", i - 1});
        const aplomb::Vec3 up{0, i == 0 ? 1.0 : 0.2, 0};
        height += up;
        s.upright.translations.push_back(up);
        s.upright.rotations.push_back({0, 0, 0, 1});
        s.posed.translations.push_back(up);
        s.posed.rotations.push_back(aplomb::exp_rotation({i == 1 ? lean : 0.0, 0, 0}));
        s.skin.bones.push_back({i, aplomb::Mat3::identity(), -height});
    }
    return s;
}

void expect_bits(const aplomb::io::Pose& is, const aplomb::io::Pose& was) {
    ASSERT_EQ(is.rotations.size(), was.rotations.size());
    for (std::size_t i = 0; i < is.rotations.size(); ++i) {
        EXPECT_EQ(std::memcmp(&is.rotations[i], &was.rotations[i], sizeof is.rotations[i]), 0) << i;
        EXPECT_EQ(std::memcmp(&is.translations[i], &was.translations[i], sizeof is.translations[i]), 0) << i;
    }
}

constexpr aplomb::Quat unturned{0, 0, 0, 1};

TEST(BoundPose, IsReadFromTheBones) {
    const Spine s = leaning_spine(0.5);
    const aplomb::io::Pose bound = bound_pose(s.skin, s.joints, s.posed, unturned);
    for (std::size_t i = 0; i < s.joints.size(); ++i) {
        EXPECT_NEAR(norm(log_rotation(bound.rotations[i])), 0, 1e-12) << i;
        EXPECT_NEAR(norm(bound.translations[i] - s.upright.translations[i]), 0, 1e-12) << i;
    }
}

TEST(BoundPose, GivesBackThePoseThatItIsBoundIn) {
    const Spine s = leaning_spine(1e-3);
    expect_bits(bound_pose(s.skin, s.joints, s.posed, unturned), s.posed);
}

TEST(BoundPose, BonesOfNoUseTellNothing) {
    Spine none = leaning_spine(0.5), sheared = none, others = none;
    none.skin.bones.clear();
    sheared.skin.bones[1].turn.row[0] = {1, 0.3, 0};
    for (aplomb::io::Bone& bone : others.skin.bones)
        bone.place = {}; // what a file has that leaves its matrices out
    for (const Spine& s : {none, sheared, others})
        expect_bits(bound_pose(s.skin, s.joints, s.posed, unturned), s.posed);
}

} // namespace
