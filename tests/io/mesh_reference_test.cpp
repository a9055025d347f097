// SPDX-License-Identifier: MIT
// Skins and soles of characters that nobody here made, where they are at hand (see their SOURCES.md).
#include "aplomb/files.h"
#include "io/gltf_document.h"

#include "made_files.h"
#include "opened.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstring>
#include <memory>

namespace {

namespace fs = std::filesystem;
using aplomb::io::Json;

const fs::path figures = made::reference / "figures";
const char* const names[] = {"human_male.glb", "human_female.glb", "human_base.glb", "fox.glb"};

using made::Character;

/// A character in the pose of its nodes.
struct Standing {
    Character character;
    std::vector<double> translations, rotations, skin;
    aplomb_mesh mesh{};

    explicit Standing(const std::string& name) {
        aplomb_character* opened = nullptr;
        aplomb_error error{};
        EXPECT_EQ(aplomb_character_open((figures / name).c_str(), nullptr, &opened, &error), APLOMB_OK)
            << error.message;
        character.reset(opened);
        const auto joints = static_cast<std::size_t>(aplomb_figure_joint_count(figure()));
        translations.resize(3 * joints);
        rotations.resize(4 * joints);
        aplomb_character_pose(opened, -1, 0, translations.data(), rotations.data(), nullptr);
        EXPECT_EQ(aplomb_character_mesh(opened, &mesh, &error), APLOMB_OK) << error.message;
        skin.resize(3 * static_cast<std::size_t>(mesh.vertex_count));
        EXPECT_EQ(aplomb_character_skin(opened, translations.data(), rotations.data(), skin.data(), &error),
                  APLOMB_OK)
            << error.message;
    }
    const aplomb_figure* figure() const { return aplomb_character_figure(character.get()); }
    aplomb_limb_info limb(int32_t index) const {
        aplomb_limb_info info;
        aplomb_limb_info_init(&info, sizeof info);
        EXPECT_EQ(aplomb_figure_limb(figure(), index, &info, nullptr), APLOMB_OK);
        return info;
    }
    /// World matrices, column by column.
    std::vector<double> worlds() const {
        std::vector<double> matrices(16 * rotations.size() / 4);
        EXPECT_EQ(aplomb_pose_to_matrices(figure(), translations.data(), rotations.data(), matrices.data(),
                                          APLOMB_DOUBLE, 16 * sizeof(double), APLOMB_WORLD, nullptr),
                  APLOMB_OK);
        return matrices;
    }
};

/// The POSITION of a .glb with one primitive, from its bytes.
std::vector<float> positions_in_file(const std::string& name) {
    const std::string bytes = made::read(figures / name);
    std::uint32_t length = 0;
    std::memcpy(&length, bytes.data() + 12, 4);
    const Json json = Json::parse(bytes.substr(20, length));
    const Json& accessor =
        json["accessors"][json["meshes"][0]["primitives"][0]["attributes"]["POSITION"].get<std::size_t>()];
    const Json& view = json["bufferViews"][accessor["bufferView"].get<std::size_t>()];
    std::vector<float> values(accessor["count"].get<std::size_t>() * 3);
    std::memcpy(values.data(),
                bytes.data() + 28 + length + view.value("byteOffset", 0u) + accessor.value("byteOffset", 0u),
                values.size() * 4);
    return values;
}

/// Length and breadth of what lies around a limb's end, in the lower half of its height, as the file stands.
struct Extent {
    double lowest[3] = {1e30, 1e30, 1e30}, highest[3] = {-1e30, -1e30, -1e30};
    double of(int axis) const { return highest[axis] - lowest[axis]; }
};

Extent foot_of(const Standing& standing, const aplomb_limb_info& limb) {
    const std::vector<double> worlds = standing.worlds();
    const double* end = &worlds[16 * static_cast<std::size_t>(limb.end) + 12];
    Extent extent;
    for (std::size_t v = 0; v < standing.skin.size(); v += 3) {
        const double* p = &standing.skin[v];
        const double across = std::hypot(p[0] - end[0], p[2] - end[2]);
        if (p[1] > 0.5 * end[1] || across > 0.3 * limb.length || p[0] * end[0] < 0) continue;
        for (int k = 0; k < 3; ++k) {
            extent.lowest[k] = std::min(extent.lowest[k], p[k]);
            extent.highest[k] = std::max(extent.highest[k], p[k]);
        }
    }
    return extent;
}

} // namespace

/// These files stand in the pose in which their skins were bound.
TEST(MeshReference, StandingAsBound) {
    if (made::reference_is_missing()) GTEST_SKIP();
    for (const char* name : names) {
        const Standing standing(name);
        const std::vector<float> bound = positions_in_file(name);
        ASSERT_EQ(standing.skin.size(), bound.size());
        double furthest = 0, size = 0;
        for (std::size_t i = 0; i < bound.size(); ++i) {
            furthest = std::max(furthest, std::fabs(standing.skin[i] - static_cast<double>(bound[i])));
            size = std::max(size, std::fabs(static_cast<double>(bound[i])));
        }
        std::printf("%-18s %6d vertices %6d triangles, off by %.2g of %.3g\n", name,
                    standing.mesh.vertex_count, standing.mesh.triangle_count, furthest, size);
        EXPECT_LT(furthest, 1e-5 * size) << name;
    }
}

TEST(MeshReference, EveryFootHasItsSole) {
    if (made::reference_is_missing()) GTEST_SKIP();
    for (const char* name : names) {
        const Standing standing(name);
        int feet = 0;
        for (int32_t i = 0; i < aplomb_figure_limb_count(standing.figure()); ++i) {
            const aplomb_limb_info limb = standing.limb(i);
            if (limb.kind == APLOMB_ARM) continue;
            ++feet;
            const Extent foot = foot_of(standing, limb);
            std::printf("%-18s %s %-5s sole %.4f x %.4f (%d points), foot %.4f x %.4f\n", name,
                        limb.kind == APLOMB_LEG ? "leg     " : "fore leg",
                        aplomb_side_text(static_cast<aplomb_side>(limb.side)), limb.sole_length,
                        limb.sole_breadth, limb.sole_point_count, foot.of(2), foot.of(0));
            EXPECT_EQ(limb.sole_origin, APLOMB_ORIGIN_SHAPE) << name;
            EXPECT_GT(limb.sole_length, 0.75 * foot.of(2)) << name;
            EXPECT_LT(limb.sole_length, 1.1 * foot.of(2)) << name;
            EXPECT_GT(limb.sole_breadth, 0.6 * foot.of(0)) << name;
            EXPECT_LT(limb.sole_breadth, 1.25 * foot.of(0)) << name;
        }
        EXPECT_EQ(feet, std::string(name) == "fox.glb" ? 4 : 2);
        aplomb_figure_info info;
        aplomb_figure_info_init(&info, sizeof info);
        aplomb_figure_describe(standing.figure(), &info, nullptr);
        double lowest = 1e30, highest = -1e30;
        for (std::size_t v = 1; v < standing.skin.size(); v += 3) {
            lowest = std::min(lowest, standing.skin[v]);
            highest = std::max(highest, standing.skin[v]);
        }
        std::printf("%-18s stature %.4f, the mesh is %.4f tall\n", name, info.stature, highest - lowest);
    }
}
