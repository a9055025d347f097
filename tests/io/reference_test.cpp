// SPDX-License-Identifier: MIT
// Files that nobody here wrote, where they are at hand (see their SOURCES.md for origins and licences).
// Forward kinematics is checked against a second evaluation that shares no code with the library.
#include "aplomb/files.h"
#include "io/gltf_document.h"

#include "made_files.h"
#include "opened.h"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <cstdio>
#include <cstring>
#include <memory>
#include <sstream>

namespace {

namespace fs = std::filesystem;
using aplomb::io::Json;
using Matrix = std::array<double, 16>; // row by row

using made::reference;

std::vector<fs::path> files_of(const char* folder, const std::string& extension) {
    std::vector<fs::path> files;
    for (const auto& entry : fs::directory_iterator(reference / folder))
        if (entry.path().extension() == extension) files.push_back(entry.path());
    return files;
}

using made::Character;

Character open(const fs::path& path, double metres_per_unit = 0) {
    aplomb_character_options options;
    aplomb_character_options_init(&options, sizeof options);
    options.metres_per_unit = metres_per_unit;
    aplomb_character* character = nullptr;
    aplomb_error error{};
    EXPECT_EQ(aplomb_character_open(path.c_str(), &options, &character, &error), APLOMB_OK) << error.message;
    return Character(character);
}

Matrix product(const Matrix& a, const Matrix& b) {
    Matrix c{};
    for (std::size_t i = 0; i < 4; ++i)
        for (std::size_t j = 0; j < 4; ++j)
            for (std::size_t k = 0; k < 4; ++k)
                c[4 * i + j] += a[4 * i + k] * b[4 * k + j];
    return c;
}

Matrix moved(double x, double y, double z) {
    return {1, 0, 0, x, 0, 1, 0, y, 0, 0, 1, z, 0, 0, 0, 1};
}

Matrix turned(double x, double y, double z, double w) {
    const double n = 2 / (x * x + y * y + z * z + w * w);
    return {1 - n * (y * y + z * z),
            n * (x * y - w * z),
            n * (x * z + w * y),
            0,
            n * (x * y + w * z),
            1 - n * (x * x + z * z),
            n * (y * z - w * x),
            0,
            n * (x * z - w * y),
            n * (y * z + w * x),
            1 - n * (x * x + y * y),
            0,
            0,
            0,
            0,
            1};
}

Matrix about(char axis, double degrees) {
    const double half = degrees * std::acos(-1.0) / 360, s = std::sin(half), c = std::cos(half);
    return turned(axis == 'X' ? s : 0, axis == 'Y' ? s : 0, axis == 'Z' ? s : 0, c);
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
    for (const double value : pose.translations)
        EXPECT_TRUE(std::isfinite(value));
    for (const double value : pose.rotations)
        EXPECT_TRUE(std::isfinite(value));
    return pose;
}

aplomb_joint_info joint_of(const Character& character, int joint) {
    aplomb_joint_info info;
    aplomb_joint_info_init(&info, sizeof info);
    aplomb_figure_joint(aplomb_character_figure(character.get()), joint, &info, nullptr);
    return info;
}

/// World matrices of a pose of the library, in its joint order.
std::vector<Matrix> worlds(const Character& character, const Arrays& pose) {
    std::vector<Matrix> world;
    for (std::size_t i = 0; i < pose.translations.size() / 3; ++i) {
        const double* t = &pose.translations[3 * i];
        const double* q = &pose.rotations[4 * i];
        const Matrix local = product(moved(t[0], t[1], t[2]), turned(q[0], q[1], q[2], q[3]));
        const int parent = joint_of(character, static_cast<int>(i)).parent;
        world.push_back(parent < 0 ? local : product(world[static_cast<std::size_t>(parent)], local));
    }
    return world;
}

/// A BVH file read the simplest way, and its joints placed by the product of matrices in the listed order.
struct PlainBvh {
    struct Joint {
        std::string name;
        int parent;
        std::array<double, 3> offset{};
        std::vector<std::string> channels;
    };
    std::vector<Joint> joints;
    std::vector<std::vector<double>> rows;

    explicit PlainBvh(const std::string& text) {
        std::istringstream words(text);
        std::vector<int> open;
        std::string word;
        bool end_site = false;
        while (words >> word && word != "MOTION") {
            if (word == "ROOT" || word == "JOINT") {
                words >> word;
                joints.push_back({word, open.empty() ? -1 : open.back(), {}, {}});
            } else if (word == "End") {
                end_site = true;
            } else if (word == "{") {
                open.push_back(end_site ? -2 : static_cast<int>(joints.size()) - 1);
            } else if (word == "}") {
                end_site = false;
                open.pop_back();
            } else if (word == "OFFSET" && !end_site) {
                for (double& value : joints.back().offset)
                    words >> value;
            } else if (word == "CHANNELS") {
                std::size_t count = 0;
                words >> count;
                joints.back().channels.resize(count);
                for (std::string& channel : joints.back().channels)
                    words >> channel;
            }
        }
        std::size_t frames = 0, width = 0;
        double time = 0;
        words >> word >> frames >> word >> word >> time;
        for (const Joint& joint : joints)
            width += joint.channels.size();
        rows.assign(frames, std::vector<double>(width));
        for (auto& row : rows)
            for (double& value : row)
                words >> value;
        EXPECT_FALSE(words.fail());
    }

    std::vector<Matrix> place(std::size_t frame) const {
        std::vector<Matrix> world;
        std::size_t column = 0;
        for (const Joint& joint : joints) {
            std::array<double, 3> place = joint.offset;
            Matrix turn = moved(0, 0, 0);
            for (const std::string& channel : joint.channels) {
                const double value = rows[frame][column++];
                if (channel.find("rotation") != std::string::npos)
                    turn = product(turn, about(channel[0], value));
                else
                    place[static_cast<std::size_t>(channel[0] - 'X')] += value;
            }
            const Matrix local = product(moved(place[0], place[1], place[2]), turn);
            world.push_back(joint.parent < 0 ? local
                                             : product(world[static_cast<std::size_t>(joint.parent)], local));
        }
        return world;
    }
};

void expect_equal(const Matrix& a, const Matrix& b, double tolerance, const std::string& where) {
    for (std::size_t k = 0; k < 16; ++k)
        ASSERT_NEAR(a[k], b[k], tolerance) << where;
}

/// A .glb evaluated anew, from the bytes: floats of tight accessors, LINEAR tracks.
struct PlainGlb {
    Json json;
    std::string bin;

    explicit PlainGlb(const std::string& bytes) {
        std::uint32_t length = 0;
        std::memcpy(&length, bytes.data() + 12, 4);
        json = Json::parse(bytes.substr(20, length));
        bin = bytes.substr(28 + length);
    }

    std::vector<float> floats(std::size_t index, std::size_t width) const {
        const Json& accessor = json["accessors"][index];
        const Json& view = json["bufferViews"][accessor["bufferView"].get<std::size_t>()];
        std::vector<float> values(accessor["count"].get<std::size_t>() * width);
        std::memcpy(values.data(),
                    bin.data() + view.value("byteOffset", 0u) + accessor.value("byteOffset", 0u),
                    values.size() * 4);
        return values;
    }

    std::vector<double> at(const Json& sampler, std::size_t width, double t) const {
        EXPECT_EQ(sampler.value("interpolation", "LINEAR"), "LINEAR");
        const std::vector<float> times = floats(sampler["input"].get<std::size_t>(), 1),
                                 values = floats(sampler["output"].get<std::size_t>(), width);
        std::size_t k = 0;
        while (k + 2 < times.size() && t >= static_cast<double>(times[k + 1]))
            ++k;
        double u = (t - static_cast<double>(times[k])) / static_cast<double>(times[k + 1] - times[k]);
        u = std::min(1.0, std::max(0.0, u));
        double cosine = 0;
        for (std::size_t i = 0; i < width; ++i)
            cosine +=
                static_cast<double>(values[k * width + i]) * static_cast<double>(values[(k + 1) * width + i]);
        double first = 1 - u, second = u;
        if (width == 4) {
            const double angle = std::acos(std::min(1.0, std::fabs(cosine)));
            if (angle > 1e-4) {
                first = std::sin((1 - u) * angle) / std::sin(angle);
                second = std::sin(u * angle) / std::sin(angle);
            }
            if (cosine < 0) second = -second;
        }
        std::vector<double> result;
        for (std::size_t i = 0; i < width; ++i)
            result.push_back(first * static_cast<double>(values[k * width + i]) +
                             second * static_cast<double>(values[(k + 1) * width + i]));
        return result;
    }

    Matrix local(std::size_t node, int clip, double t) const {
        const Json& json_node = json["nodes"][node];
        std::vector<double> place = json_node.value("translation", std::vector<double>{0, 0, 0});
        std::vector<double> turn = json_node.value("rotation", std::vector<double>{0, 0, 0, 1});
        if (clip >= 0) {
            const Json& animation = json["animations"][static_cast<std::size_t>(clip)];
            for (const Json& channel : animation["channels"]) {
                if (channel["target"]["node"].get<std::size_t>() != node) continue;
                const Json& sampler = animation["samplers"][channel["sampler"].get<std::size_t>()];
                if (channel["target"]["path"] == "translation") place = at(sampler, 3, t);
                if (channel["target"]["path"] == "rotation") turn = at(sampler, 4, t);
            }
        }
        return product(moved(place[0], place[1], place[2]), turned(turn[0], turn[1], turn[2], turn[3]));
    }

    Matrix world(const std::string& name, int clip, double t) const {
        std::size_t node = 0;
        while (json["nodes"][node].value("name", "") != name)
            ++node;
        Matrix result = local(node, clip, t);
        for (;;) {
            std::size_t above = json["nodes"].size();
            for (std::size_t i = 0; i < json["nodes"].size(); ++i)
                for (const Json& child : json["nodes"][i].value("children", Json::array()))
                    if (child == node) above = i;
            if (above == json["nodes"].size()) return result;
            node = above;
            result = product(local(node, clip, t), result);
        }
    }
};

/// Turns one joint a little.
void nudge(Arrays& pose, std::size_t joint) {
    double* q = &pose.rotations[4 * joint];
    const double s = std::sin(0.05), c = std::cos(0.05); // 0.1 radian about the joint's own X
    const double x = q[0], y = q[1], z = q[2], w = q[3];
    q[0] = c * x + s * w;
    q[1] = c * y + s * z;
    q[2] = c * z - s * y;
    q[3] = c * w - s * x;
}

std::vector<std::string> lines_of(const std::string& text) {
    std::vector<std::string> lines;
    std::istringstream stream(text);
    for (std::string line; std::getline(stream, line);)
        lines.push_back(line);
    return lines;
}

} // namespace

TEST(Reference, BvhForwardKinematics) {
    if (made::reference_is_missing()) GTEST_SKIP();
    std::vector<fs::path> files = files_of("clips", ".bvh");
    for (const fs::path& path : files_of("poses", ".bvh"))
        files.push_back(path);
    EXPECT_GE(files.size(), 13u);
    for (const fs::path& path : files) {
        const Character character = open(path);
        ASSERT_TRUE(character);
        const PlainBvh plain(made::read(path));
        const int count = aplomb_character_key_times(character.get(), 0, nullptr, 0);
        ASSERT_EQ(static_cast<std::size_t>(count), plain.rows.size());
        std::vector<double> times(plain.rows.size());
        aplomb_character_key_times(character.get(), 0, times.data(), count);
        for (const std::size_t frame :
             {std::size_t{0}, times.size() / 3, times.size() / 2, times.size() - 1}) {
            const std::vector<Matrix> ours = worlds(character, pose_of(character, 0, times[frame]));
            const std::vector<Matrix> theirs = plain.place(frame);
            for (std::size_t i = 0; i < ours.size(); ++i)
                expect_equal(ours[i], theirs[i], 1e-9, path.filename().string() + " " + plain.joints[i].name);
        }
    }
}

TEST(Reference, BvhAxesAndKnownUp) {
    if (made::reference_is_missing()) GTEST_SKIP();
    // SOURCES.md: the zombie is Z-up and faces -Y, all others Y-up; those face +Z at zero angles.
    for (const fs::path& path : files_of("clips", ".bvh")) {
        const made::Folder folder;
        const std::string out = (folder / "d.json").string();
        ASSERT_EQ(aplomb_character_write_description(open(path).get(), out.c_str(), nullptr), APLOMB_OK);
        const Json json = Json::parse(made::read(out));
        const bool zombie = path.filename() == "zombie_z_up.bvh";
        EXPECT_EQ(json["up"], zombie ? "Z" : "Y") << path;
        EXPECT_EQ(json["forward"], zombie ? "-Y" : "Z") << path;
    }
}

TEST(Reference, BvhOneJointWrittenBack) {
    if (made::reference_is_missing()) GTEST_SKIP();
    const made::Folder folder;
    for (const fs::path& path : files_of("clips", ".bvh")) {
        const Character character = open(path);
        std::vector<double> times(
            static_cast<std::size_t>(aplomb_character_key_times(character.get(), 0, nullptr, 0)));
        aplomb_character_key_times(character.get(), 0, times.data(), static_cast<int>(times.size()));
        const double t = times[times.size() / 2];
        Arrays pose = pose_of(character, 0, t);
        aplomb_error error{};
        const fs::path out = folder / path.filename().string();
        ASSERT_EQ(aplomb_character_write(character.get(), 0, t, pose.translations.data(),
                                         pose.rotations.data(), out.c_str(), &error),
                  APLOMB_OK)
            << error.message;
        ASSERT_EQ(made::read(out), made::read(path)); // unchanged: byte for byte
        nudge(pose, 5);
        ASSERT_EQ(aplomb_character_write(character.get(), 0, t, pose.translations.data(),
                                         pose.rotations.data(), out.c_str(), &error),
                  APLOMB_OK)
            << error.message;
        const std::vector<std::string> before = lines_of(made::read(path)), after = lines_of(made::read(out));
        ASSERT_EQ(before.size(), after.size());
        int changed = 0;
        for (std::size_t i = 0; i < before.size(); ++i)
            changed += before[i] != after[i];
        EXPECT_EQ(changed, 1) << path;
        const std::vector<Matrix> wished = worlds(character, pose);
        const std::vector<Matrix> found = PlainBvh(made::read(out)).place(times.size() / 2);
        for (std::size_t i = 0; i < wished.size(); ++i)
            expect_equal(wished[i], found[i], 1e-5, path.filename().string());
    }
}

TEST(Reference, GlbForwardKinematics) {
    if (made::reference_is_missing()) GTEST_SKIP();
    for (const fs::path& path : files_of("figures", ".glb")) {
        const bool fox = path.filename() == "fox.glb";
        const Character character = open(path, fox ? 0.01 : 0);
        ASSERT_TRUE(character);
        const PlainGlb plain(made::read(path));
        const int clips = aplomb_character_clip_count(character.get());
        EXPECT_EQ(clips, fox ? 3 : 0);
        for (int clip = -1; clip < clips; ++clip)
            for (const double t : {0.0, 0.31, 0.5}) {
                const std::vector<Matrix> ours = worlds(character, pose_of(character, clip, t));
                for (std::size_t i = 0; i < ours.size(); i += 3) {
                    const std::string name = joint_of(character, static_cast<int>(i)).name;
                    expect_equal(ours[i], plain.world(name, clip, t), 1e-5,
                                 path.filename().string() + " " + name);
                }
            }
    }
}

TEST(Reference, GlbOneJointWrittenBack) {
    if (made::reference_is_missing()) GTEST_SKIP();
    const made::Folder folder;
    for (const fs::path& path : files_of("figures", ".glb")) {
        const int clip = path.filename() == "fox.glb" ? 1 : -1;
        const Character character = open(path);
        Arrays pose = pose_of(character, clip, 0.25);
        const fs::path out = folder / path.filename().string();
        aplomb_error error{};
        const auto write = [&] {
            return aplomb_character_write(character.get(), clip, 0.25, pose.translations.data(),
                                          pose.rotations.data(), out.c_str(), &error);
        };
        ASSERT_EQ(write(), APLOMB_OK) << error.message;
        ASSERT_EQ(made::read(out), made::read(path));
        nudge(pose, 5);
        ASSERT_EQ(write(), APLOMB_OK) << error.message;
        const PlainGlb before(made::read(path)), after(made::read(out));
        for (const auto& [key, value] : before.json.items()) {
            if (key == "nodes" || key == "animations" || key == "buffers" || key == "accessors" ||
                key == "bufferViews")
                continue;
            EXPECT_EQ(after.json[key], value) << key;
        }
        EXPECT_EQ(after.bin.substr(0, before.bin.size()), before.bin);
        const Character again = open(out);
        const std::vector<Matrix> wished = worlds(character, pose),
                                  found = worlds(again, pose_of(again, clip, 0.25));
        for (std::size_t i = 0; i < wished.size(); ++i)
            expect_equal(wished[i], found[i], 1e-4, path.filename().string());
        if (clip < 0) continue;
        for (const int other : {-1, 0, 2}) {
            const Arrays old_pose = pose_of(character, other, 0.4), new_pose = pose_of(again, other, 0.4);
            EXPECT_EQ(old_pose.rotations, new_pose.rotations);
            EXPECT_EQ(old_pose.translations, new_pose.translations);
        }
    }
}

TEST(Reference, ASkinWithoutAPersonIsRefusedByTheFigure) {
    if (made::reference_is_missing()) GTEST_SKIP();
    aplomb_character* character = nullptr;
    aplomb_error error{};
    EXPECT_EQ(
        aplomb_character_open((reference / "figures/simple_skin.gltf").c_str(), nullptr, &character, &error),
        APLOMB_BAD_FIGURE);
    EXPECT_NE(std::string(error.message).find("simple_skin.gltf': "), std::string::npos);
}
