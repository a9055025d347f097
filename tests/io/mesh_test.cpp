// SPDX-License-Identifier: MIT
// The meshes of a character, against an evaluation of linear blend skinning (glTF 2.0, section 3.7.3.3) that
// multiplies plain matrices and shares no code with the library.
#include "aplomb/files.h"
#include "io/gltf_document.h"

#include "made_files.h"
#include "opened.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstdint>
#include <functional>
#include <limits>
#include <memory>

using aplomb::io::Json;
using made::Gltf;

namespace {

using made::Character;

using Matrix = std::array<double, 16>; // row by row
using Point = std::array<double, 3>;

Matrix product(const Matrix& a, const Matrix& b) {
    Matrix c{};
    for (std::size_t i = 0; i < 4; ++i)
        for (std::size_t j = 0; j < 4; ++j)
            for (std::size_t k = 0; k < 4; ++k)
                c[4 * i + j] += a[4 * i + k] * b[4 * k + j];
    return c;
}

Point moved(const Matrix& m, const Point& p) {
    Point q{};
    for (std::size_t i = 0; i < 3; ++i)
        q[i] = m[4 * i] * p[0] + m[4 * i + 1] * p[1] + m[4 * i + 2] * p[2] + m[4 * i + 3];
    return q;
}

Matrix local_of(const Json& node) {
    const auto t = node.value("translation", std::vector<double>{0, 0, 0});
    const auto s = node.value("scale", std::vector<double>{1, 1, 1});
    const auto q = node.value("rotation", std::vector<double>{0, 0, 0, 1});
    const double x = q[0], y = q[1], z = q[2], w = q[3];
    return {(1 - 2 * (y * y + z * z)) * s[0],
            2 * (x * y - w * z) * s[1],
            2 * (x * z + w * y) * s[2],
            t[0],
            2 * (x * y + w * z) * s[0],
            (1 - 2 * (x * x + z * z)) * s[1],
            2 * (y * z - w * x) * s[2],
            t[1],
            2 * (x * z - w * y) * s[0],
            2 * (y * z + w * x) * s[1],
            (1 - 2 * (x * x + y * y)) * s[2],
            t[2],
            0,
            0,
            0,
            1};
}

Matrix world_of(const Json& nodes, std::size_t node) {
    Matrix world = local_of(nodes[node]);
    for (bool found = true; found;) {
        found = false;
        for (std::size_t i = 0; i < nodes.size() && !found; ++i)
            for (const Json& child : nodes[i].value("children", Json::array()))
                if (child == node) {
                    world = product(local_of(nodes[i]), world);
                    node = i;
                    found = true;
                    break;
                }
    }
    return world;
}

/// A vertex of the test: up to eight joints of the skin with their weights.
struct Vertex {
    Point place;
    std::vector<std::pair<std::size_t, double>> influences;
};

constexpr std::size_t left_shank = 12, left_foot = 13, right_shank = 15, right_foot = 16; // in the skin

/// A box in 8 corners, all moved by the same joints.
void add_box(std::vector<Vertex>& vertices, Point low, Point high,
             const std::vector<std::pair<std::size_t, double>>& influences) {
    for (int k = 0; k < 8; ++k)
        vertices.push_back(
            {{k & 1 ? high[0] : low[0], k & 2 ? high[1] : low[1], k & 4 ? high[2] : low[2]}, influences});
}

/// Shank and foot of both legs; a foot is 26 cm long and 10 broad, its heel 7 cm behind the ankle.
std::vector<Vertex> two_box_legs() {
    std::vector<Vertex> vertices;
    for (const double side : {1.0, -1.0}) {
        const std::size_t shank = side > 0 ? left_shank : right_shank, foot = shank + 1;
        const double x = 0.09 * side;
        add_box(vertices, {x - .04, .08, -.04}, {x + .04, .45, .04}, {{shank, 0.75}, {foot, 0.25}});
        add_box(vertices, {x - .05, 0, -.07}, {x + .05, .07, .19}, {{foot, 1.0}});
    }
    return vertices;
}

const std::vector<std::uint32_t> box_triangles = {0, 2, 1, 1, 2, 3, 4, 5, 6, 5, 7, 6, 0, 1, 4, 1, 5, 4,
                                                  2, 6, 3, 3, 6, 7, 0, 4, 2, 2, 4, 6, 1, 3, 5, 3, 7, 5};

std::vector<std::uint32_t> triangles_of_boxes(std::size_t boxes) {
    std::vector<std::uint32_t> triangles;
    for (std::uint32_t box = 0; box < boxes; ++box)
        for (const std::uint32_t corner : box_triangles)
            triangles.push_back(8 * box + corner);
    return triangles;
}

/// Whole numbers, or floats, of a component type of glTF.
std::string raw(const std::vector<double>& values, int component) {
    std::string bytes;
    const std::size_t size = component == 5121 ? 1 : component == 5123 ? 2 : 4;
    for (const double value : values) {
        const std::uint32_t word = component == 5126 ? std::bit_cast<std::uint32_t>(static_cast<float>(value))
                                                     : static_cast<std::uint32_t>(std::lround(value));
        for (std::size_t k = 0; k < size; ++k)
            bytes += static_cast<char>((word >> (8 * k)) & 0xFFu);
    }
    return bytes;
}

struct Types {
    int joints = 5121, weights = 5126, indices = 5123; // indices 0: none
};

/// Appends a primitive with as many sets of four influences as the vertices need.
Json primitive_of(Gltf& file, const std::vector<Vertex>& vertices, const std::vector<std::uint32_t>& indices,
                  const Types& types = {}) {
    std::vector<double> places, corners(indices.begin(), indices.end());
    std::size_t sets = 1;
    for (const Vertex& vertex : vertices) {
        places.insert(places.end(), vertex.place.begin(), vertex.place.end());
        sets = std::max(sets, (vertex.influences.size() + 3) / 4);
    }
    const double whole = types.weights == 5121 ? 255 : types.weights == 5123 ? 65535 : 1;
    Json primitive = {
        {"attributes", {{"POSITION", file.accessor("VEC3", 5126, vertices.size(), raw(places, 5126))}}}};
    for (std::size_t set = 0; set < sets; ++set) {
        std::vector<double> joints, weights;
        for (const Vertex& vertex : vertices)
            for (std::size_t k = 4 * set; k < 4 * set + 4; ++k) {
                const bool used = k < vertex.influences.size();
                joints.push_back(used ? static_cast<double>(vertex.influences[k].first) : 0);
                weights.push_back(used ? vertex.influences[k].second * whole : 0);
            }
        const std::string number = std::to_string(set);
        primitive["attributes"]["JOINTS_" + number] =
            file.accessor("VEC4", types.joints, vertices.size(), raw(joints, types.joints));
        primitive["attributes"]["WEIGHTS_" + number] =
            file.accessor("VEC4", types.weights, vertices.size(), raw(weights, types.weights), whole > 1);
    }
    if (types.indices != 0)
        primitive["indices"] =
            file.accessor("SCALAR", types.indices, corners.size(), raw(corners, types.indices));
    return primitive;
}

/// The joints are bound where they are in the file as it stands.
void bind_here(Gltf& file) {
    std::vector<double> numbers;
    const Json& joints = file.json["skins"][0]["joints"];
    for (const Json& joint : joints) {
        const Matrix world = world_of(file.json["nodes"], joint.get<std::size_t>());
        // The rest pose has no rotation and no scale.
        const double columns[16] = {1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, -world[3], -world[7], -world[11], 1};
        numbers.insert(numbers.end(), columns, columns + 16);
    }
    file.json["skins"][0]["inverseBindMatrices"] =
        file.accessor("MAT4", 5126, joints.size(), raw(numbers, 5126));
}

void hang_on_skin(Gltf& file, const Json& primitives, int skin = 0) {
    if (!file.json.contains("meshes")) file.json["meshes"] = Json::array();
    // The node's own place must not matter.
    file.node("mesh node", -1,
              {{"mesh", file.json["meshes"].size()}, {"skin", skin}, {"translation", {5, 6, 7}}});
    file.json["meshes"].push_back({{"name", "skin"}, {"primitives", primitives}});
}

Gltf figure_with_legs(const Types& types = {}) {
    Gltf file = made::lay_figure();
    bind_here(file);
    const std::vector<Vertex> vertices = two_box_legs();
    hang_on_skin(file, Json::array({primitive_of(file, vertices, triangles_of_boxes(4), types)}));
    return file;
}

/// A made file, opened.
struct Opened {
    made::Folder folder;
    Character character;
    aplomb_status status;
    aplomb_error error{};

    explicit Opened(const std::string& bytes, const std::string& name = "figure.gltf") {
        made::write(folder / name, bytes);
        aplomb_character* opened = nullptr;
        status = aplomb_character_open((folder / name).c_str(), nullptr, &opened, &error);
        character.reset(opened);
    }
    explicit Opened(const Gltf& file) : Opened(file.text()) {}

    /// Where the skin is in the pose of the nodes.
    std::vector<Point> skin() {
        aplomb_mesh mesh{};
        EXPECT_EQ(aplomb_character_mesh(character.get(), &mesh, &error), APLOMB_OK) << error.message;
        const auto joints =
            static_cast<std::size_t>(aplomb_figure_joint_count(aplomb_character_figure(character.get())));
        std::vector<double> t(3 * joints), r(4 * joints),
            positions(3 * static_cast<std::size_t>(mesh.vertex_count));
        aplomb_character_pose(character.get(), -1, 0, t.data(), r.data(), nullptr);
        EXPECT_EQ(aplomb_character_skin(character.get(), t.data(), r.data(), positions.data(), &error),
                  APLOMB_OK)
            << error.message;
        std::vector<Point> points;
        for (std::size_t i = 0; i < positions.size(); i += 3)
            points.push_back({positions[i], positions[i + 1], positions[i + 2]});
        return points;
    }
    std::vector<std::int32_t> triangles() {
        aplomb_mesh mesh{};
        EXPECT_EQ(aplomb_character_mesh(character.get(), &mesh, &error), APLOMB_OK) << error.message;
        return {mesh.triangles, mesh.triangles + 3 * mesh.triangle_count};
    }
    std::string mesh_failure() {
        aplomb_mesh mesh{};
        EXPECT_EQ(aplomb_character_mesh(character.get(), &mesh, &error), APLOMB_BAD_FILE);
        return error.message;
    }
};

void expect_near(const Point& a, const Point& b, double tolerance = 1e-6) {
    for (std::size_t k = 0; k < 3; ++k)
        EXPECT_NEAR(a[k], b[k], tolerance);
}

aplomb_limb_info leg_of(const Character& character, int32_t side) {
    const aplomb_figure* figure = aplomb_character_figure(character.get());
    aplomb_limb_info info;
    aplomb_limb_info_init(&info, sizeof info);
    for (int32_t i = 0; i < aplomb_figure_limb_count(figure); ++i) {
        aplomb_figure_limb(figure, i, &info, nullptr);
        if (info.kind == APLOMB_LEG && info.side == side) return info;
    }
    ADD_FAILURE() << "no leg";
    return info;
}

} // namespace

TEST(Mesh, AtTheBindPoseAsInTheFile) {
    for (const Types& types : {Types{}, Types{5123, 5123, 5125}, Types{5121, 5121, 5121}}) {
        Opened opened(figure_with_legs(types));
        ASSERT_EQ(opened.status, APLOMB_OK) << opened.error.message;
        const std::vector<Vertex> vertices = two_box_legs();
        const std::vector<Point> points = opened.skin();
        ASSERT_EQ(points.size(), vertices.size());
        for (std::size_t v = 0; v < points.size(); ++v)
            expect_near(points[v], vertices[v].place);
        const std::vector<std::uint32_t> triangles = triangles_of_boxes(4);
        EXPECT_EQ(opened.triangles(), std::vector<std::int32_t>(triangles.begin(), triangles.end()));
    }
}

/// Turned joints, a scaled and turned armature, a node between two joints that the skin leaves out, and up to
/// six joints for a vertex, of which the four heaviest count.
TEST(Mesh, AsPlainMatricesBlendIt) {
    Gltf file = made::lay_figure();
    bind_here(file);
    std::vector<Vertex> vertices = two_box_legs();
    for (std::size_t v = 0; v < vertices.size(); v += 3)
        vertices[v].influences = {{left_shank, .25}, {left_foot, .25},    {0, .05},
                                  {11, .2},          {right_shank, .125}, {right_foot, .125}};
    hang_on_skin(file, Json::array({primitive_of(file, vertices, triangles_of_boxes(4))}));
    const auto change = [&](std::size_t node, const Json& members) {
        file.json["nodes"][node].update(members);
    };
    change(0, {{"scale", {0.5, 0.5, 0.5}}, {"translation", {1, 2, 3}}, {"rotation", {0, 0.6, 0, 0.8}}});
    change(12, {{"rotation", {0.28, 0, 0, 0.96}}});    // left thigh
    change(13, {{"rotation", {-0.48, 0.36, 0, 0.8}}}); // left shank
    change(14, {{"scale", {2, 1, 1.5}}});              // left foot: uneven is harmless below the last joint
    const int between =
        file.node("between", -1, {{"translation", {0, -0.1, 0.02}}, {"rotation", {0, 0, 0.6, 0.8}}});
    ASSERT_EQ(file.json["nodes"][15]["name"], "RightThigh");
    file.json["nodes"][15]["children"] = Json::array({between});
    file.json["nodes"][static_cast<std::size_t>(between)]["children"] = Json::array({16});

    Opened opened(file);
    ASSERT_EQ(opened.status, APLOMB_OK) << opened.error.message;
    const std::vector<Point> points = opened.skin();
    std::vector<Matrix> blend;
    const Json bound_nodes = made::lay_figure().json["nodes"];
    for (const Json& joint : file.json["skins"][0]["joints"]) {
        const auto node = joint.get<std::size_t>();
        const Matrix bound = world_of(bound_nodes, node);
        const Matrix inverse = {1, 0, 0, -bound[3], 0, 1, 0, -bound[7], 0, 0, 1, -bound[11], 0, 0, 0, 1};
        blend.push_back(product(world_of(file.json["nodes"], node), inverse));
    }
    for (std::size_t v = 0; v < points.size(); ++v) {
        auto influences = vertices[v].influences;
        std::stable_sort(influences.begin(), influences.end(),
                         [](const auto& a, const auto& b) { return a.second > b.second; });
        influences.resize(std::min<std::size_t>(4, influences.size()));
        Point sum{};
        double whole = 0;
        for (const auto& [joint, weight] : influences) {
            const Point part = moved(blend[joint], vertices[v].place);
            for (std::size_t k = 0; k < 3; ++k)
                sum[k] += weight * part[k];
            whole += weight;
        }
        for (double& value : sum)
            value /= whole;
        expect_near(points[v], sum);
    }
}

TEST(Mesh, WithoutInverseBindMatricesTheyAreIdentity) {
    Gltf file = made::lay_figure();
    hang_on_skin(file, Json::array({primitive_of(file, {{{.1, .2, .3}, {{left_foot, 1.0}}}}, {0, 0, 0})}));
    Opened opened(file);
    ASSERT_EQ(opened.status, APLOMB_OK) << opened.error.message;
    expect_near(opened.skin()[0], {.09 + .1, .07 + .2, .3});
}

TEST(Mesh, ListsStripsAndFans) {
    const std::vector<Vertex> five(5, {{0, .5, 0}, {{0, 1.0}}});
    const std::pair<int, std::vector<std::int32_t>> cases[] = {
        {4, {0, 1, 2}}, {5, {0, 1, 2, 1, 3, 2, 2, 3, 4}}, {6, {1, 2, 0, 2, 3, 0, 3, 4, 0}}};
    for (const auto& [mode, expected] : cases) {
        Gltf file = made::lay_figure();
        Json primitive = primitive_of(file, five, {}, {5121, 5126, 0});
        primitive["mode"] = mode;
        Json lines = primitive;
        lines["mode"] = 1;
        hang_on_skin(file, Json::array({lines, primitive}));
        Opened opened(file);
        ASSERT_EQ(opened.status, APLOMB_OK) << opened.error.message;
        EXPECT_EQ(opened.triangles(), expected);
        EXPECT_EQ(opened.skin().size(), 5u);
    }
}

TEST(Mesh, PrimitivesFollowEachOther) {
    Gltf file = made::lay_figure();
    const std::vector<Vertex> three(3, {{0, .5, 0}, {{0, 1.0}}});
    const Json first = primitive_of(file, three, {2, 1, 0}), second = primitive_of(file, three, {0, 1, 2});
    hang_on_skin(file, Json::array({first, second}));
    Opened opened(file);
    EXPECT_EQ(opened.triangles(), (std::vector<std::int32_t>{2, 1, 0, 3, 4, 5}));
}

TEST(Mesh, SparsePositions) {
    Gltf file = figure_with_legs();
    const int indices = file.accessor("SCALAR", 5123, 1, raw({2}, 5123));
    const int values = file.accessor("VEC3", 5126, 1, raw({.5, .25, .125}, 5126));
    Json& accessors = file.json["accessors"];
    const auto view = [&](int accessor) {
        return accessors[static_cast<std::size_t>(accessor)]["bufferView"];
    };
    const auto position =
        file.json["meshes"][0]["primitives"][0]["attributes"]["POSITION"].get<std::size_t>();
    accessors[position]["sparse"] = {{"count", 1},
                                     {"indices", {{"bufferView", view(indices)}, {"componentType", 5123}}},
                                     {"values", {{"bufferView", view(values)}}}};
    expect_near(Opened(file).skin()[2], {.5, .25, .125});
}

/// Shoes with a skin of their own over the same joints belong to the figure, somebody else does not.
TEST(Mesh, OtherSkinsOfTheSameJoints) {
    Gltf file = figure_with_legs();
    file.json["skins"].push_back({{"joints", Json::array({14})}});
    const int stranger = file.node("stranger", -1);
    file.json["skins"].push_back({{"joints", Json::array({14, stranger})}});
    const std::vector<Vertex> one = {{{0, 0, .5}, {{0, 1.0}}}};
    hang_on_skin(file, Json::array({primitive_of(file, one, {0, 0, 0})}), 1);
    hang_on_skin(file, Json::array({primitive_of(file, one, {0, 0, 0})}), 2);
    Opened opened(file);
    ASSERT_EQ(opened.status, APLOMB_OK) << opened.error.message;
    const std::vector<Point> points = opened.skin();
    ASSERT_EQ(points.size(), 33u);
    expect_near(points[32], {.09, .07, .5});
}

TEST(Mesh, NoneInTheFile) {
    Gltf plain = made::lay_figure();
    plain.json["meshes"] = {{{"primitives", Json::array({Json::object()})}}};
    plain.node("hat", 5, {{"mesh", 0}}); // not skinned
    Opened opened(plain);
    ASSERT_EQ(opened.status, APLOMB_OK) << opened.error.message;
    EXPECT_EQ(opened.mesh_failure(),
              "'" + (opened.folder / "figure.gltf").string() +
                  "' has no mesh that its skin moves; a glTF file has one where a node holds both a mesh and "
                  "the skin.");
    Opened bvh(made::lay_figure_bvh(), "figure.bvh");
    EXPECT_NE(bvh.mesh_failure().find("figure.bvh' has no mesh that its skin moves; "), std::string::npos);
    double numbers[200] = {};
    EXPECT_EQ(aplomb_character_skin(bvh.character.get(), numbers, numbers, numbers, nullptr),
              APLOMB_BAD_FILE);
    EXPECT_EQ(aplomb_character_mesh(nullptr, nullptr, nullptr), APLOMB_BAD_ARGUMENT);
}

TEST(Mesh, CompressedIsNotReadButOpens) {
    Gltf draco = figure_with_legs();
    draco.json["meshes"][0]["primitives"][0]["extensions"] = {{"KHR_draco_mesh_compression", Json::object()}};
    Opened opened(draco);
    ASSERT_EQ(opened.status, APLOMB_OK) << opened.error.message;
    EXPECT_NE(opened.mesh_failure().find("its mesh cannot be used: mesh 0 ('skin') primitive 0 is compressed "
                                         "(KHR_draco_mesh_compression), which is not read."),
              std::string::npos)
        << opened.error.message;
}

TEST(Mesh, BrokenIsRefusedByMeshAndPrimitive) {
    struct Case {
        const char* message;
        std::function<void(Gltf&, Json& primitive)> spoil;
    };
    const Case cases[] = {
        {"'JOINTS_0' is missing, though its node has a skin",
         [](Gltf&, Json& p) { p["attributes"].erase("JOINTS_0"); }},
        {"'WEIGHTS_0' is missing", [](Gltf&, Json& p) { p["attributes"].erase("WEIGHTS_0"); }},
        {"'attributes': 'POSITION' is 99; it must be below",
         [](Gltf&, Json& p) { p["attributes"]["POSITION"] = 99; }},
        {"is of type 'VEC4', 'VEC3' is needed here",
         [](Gltf&, Json& p) { p["attributes"]["POSITION"] = p["attributes"]["JOINTS_0"]; }},
        {"it has 32 positions, 31 elements of 'JOINTS_0' and 32 of 'WEIGHTS_0'",
         [](Gltf& f, Json& p) {
             f.json["accessors"][p["attributes"]["JOINTS_0"].get<std::size_t>()]["count"] = 31;
         }},
        {"index 0 is 0, it has 0 vertices",
         [](Gltf& f, Json& p) {
             for (const char* name : {"POSITION", "JOINTS_0", "WEIGHTS_0"})
                 f.json["accessors"][p["attributes"][name].get<std::size_t>()]["count"] = 0;
         }},
        {"needs 1152 bytes of bufferView", [](Gltf& f, Json& p) {
             f.json["accessors"][p["attributes"]["POSITION"].get<std::size_t>()]["count"] = 96;
         }}};
    for (const Case& c : cases) {
        Gltf file = figure_with_legs();
        c.spoil(file, file.json["meshes"][0]["primitives"][0]);
        Opened opened(file);
        EXPECT_EQ(opened.status, APLOMB_BAD_FILE) << c.message;
        const std::string message = opened.error.message;
        EXPECT_NE(message.find("mesh 0 ('skin') primitive 0: "), std::string::npos) << message;
        EXPECT_NE(message.find(c.message), std::string::npos) << message;
    }
    Gltf few = figure_with_legs();
    few.json["accessors"][few.json["skins"][0]["inverseBindMatrices"].get<std::size_t>()]["count"] = 3;
    EXPECT_NE(std::string(Opened(few).error.message).find("skin 0 has 17 joints and 3 inverse bind matrices"),
              std::string::npos);
}

/// A further triangle, all of whose corners are spoilt in one way or another, changes nothing but the remarks.
TEST(Mesh, DoesWithoutSpoiltVertices) {
    const double nan = std::numeric_limits<double>::quiet_NaN();
    Opened sound(figure_with_legs());
    Gltf file = made::lay_figure();
    bind_here(file);
    std::vector<Vertex> vertices = two_box_legs();
    std::vector<std::uint32_t> triangles = triangles_of_boxes(4);
    vertices.insert(vertices.begin() + 8, {{{nan, 0, 0}, {{left_foot, 1.0}}},
                                           {{0, -3, 9}, {{left_foot, nan}}},
                                           {{0, -3, 9}, {{left_foot, 0.5}, {0, -0.5}}}});
    for (std::uint32_t& corner : triangles)
        if (corner >= 8) corner += 3;
    for (const std::uint32_t corner : {8u, 9u, 0u, 10u, 1u, 2u})
        triangles.push_back(corner);
    hang_on_skin(file, Json::array({primitive_of(file, vertices, triangles)}));
    Opened opened(file);
    ASSERT_EQ(opened.status, APLOMB_OK) << opened.error.message;
    EXPECT_STREQ(
        aplomb_character_remark(opened.character.get(), 0),
        "Of mesh 0 ('skin') primitive 0 3 of 35 vertices are left out with their triangles; the first, "
        "vertex 8, has a position that is not finite or far too large.");
    EXPECT_EQ(opened.triangles(), sound.triangles());
    EXPECT_EQ(opened.skin(), sound.skin());
    for (const int32_t side : {APLOMB_SIDE_LEFT, APLOMB_SIDE_RIGHT}) {
        EXPECT_EQ(leg_of(opened.character, side).sole_length, leg_of(sound.character, side).sole_length);
        EXPECT_EQ(leg_of(opened.character, side).sole_origin, APLOMB_ORIGIN_SHAPE);
    }
}

// A mirror turns triangles inside out, which would make the body's volume negative.
TEST(Mesh, OutsideStaysOutsideInAMirror) {
    const auto volume = [](Opened& opened) {
        const std::vector<Point> p = opened.skin();
        const std::vector<std::int32_t> t = opened.triangles();
        double sum = 0;
        for (std::size_t i = 0; i < t.size(); i += 3) {
            const Point &a = p[static_cast<std::size_t>(t[i])], &b = p[static_cast<std::size_t>(t[i + 1])],
                        &c = p[static_cast<std::size_t>(t[i + 2])];
            sum += (a[0] * (b[1] * c[2] - b[2] * c[1]) + a[1] * (b[2] * c[0] - b[0] * c[2]) +
                    a[2] * (b[0] * c[1] - b[1] * c[0])) /
                   6;
        }
        return sum;
    };
    Opened plain(figure_with_legs());
    Gltf file = figure_with_legs();
    file.json["nodes"][0]["scale"] = {-1, 1, 1};
    Opened mirrored(file);
    ASSERT_EQ(mirrored.status, APLOMB_OK) << mirrored.error.message;
    EXPECT_GT(volume(plain), 0);
    EXPECT_NEAR(volume(mirrored), volume(plain), 1e-6);
    const std::vector<Point> here = mirrored.skin(), there = plain.skin();
    for (std::size_t i = 0; i < here.size(); ++i)
        expect_near(here[i], {-there[i][0], there[i][1], there[i][2]});
}

/// The figure stands on the boxes: 26 by 10 cm, the heel 7 cm behind the ankle, the ground at 0.
TEST(Mesh, GivesTheFigureItsSoles) {
    Opened opened(figure_with_legs());
    for (const int32_t side : {APLOMB_SIDE_LEFT, APLOMB_SIDE_RIGHT}) {
        const aplomb_limb_info leg = leg_of(opened.character, side);
        EXPECT_EQ(leg.sole_origin, APLOMB_ORIGIN_SHAPE);
        EXPECT_NEAR(leg.sole_length, .26, 1e-6);
        EXPECT_NEAR(leg.sole_breadth, .10, 1e-6);
        ASSERT_EQ(leg.sole_point_count, 8);
        for (int k = 0; k < 8; ++k) {
            EXPECT_EQ(leg.sole_joint[k], leg.end);
            EXPECT_NEAR(leg.sole_points[k][1], -.07, 1e-6);
            EXPECT_NEAR(std::fabs(leg.sole_points[k][0]), .05, 1e-6);
        }
        EXPECT_EQ(leg.sole_joint[8], -1);
    }
}

/// What `inspect --write` gives makes the same figure again.
TEST(Mesh, ADescriptionKeepsTheSoles) {
    Opened opened(figure_with_legs());
    const std::string beside = (opened.folder / "figure.gltf.figure.json").string();
    ASSERT_EQ(aplomb_character_write_description(opened.character.get(), beside.c_str(), nullptr), APLOMB_OK);
    aplomb_character* again = nullptr;
    ASSERT_EQ(aplomb_character_open((opened.folder / "figure.gltf").c_str(), nullptr, &again, nullptr),
              APLOMB_OK);
    const Character second(again);
    const aplomb_limb_info a = leg_of(opened.character, APLOMB_SIDE_LEFT),
                           b = leg_of(second, APLOMB_SIDE_LEFT);
    EXPECT_EQ(a.sole_length, b.sole_length);
    EXPECT_EQ(a.sole_point_count, b.sole_point_count);
    EXPECT_EQ(a.sole_origin, b.sole_origin);
}
