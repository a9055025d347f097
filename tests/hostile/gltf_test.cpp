// SPDX-License-Identifier: MIT
// Malformed glTF and GLB through the C API: each is refused with its own status and sentence.
#include <gtest/gtest.h>

#include <functional>
#include <limits>

#include "hostile/told.h"

namespace hostile {
namespace {

using made::Gltf;
using Json = aplomb::io::Json;

struct Case {
    const char* told;
    std::function<void(Gltf&)> spoil;
};

/// A sound character with one track; its accessors 0 (times) and 1 (rotations) are the first bytes.
Gltf moving() {
    Gltf file = made::lay_figure();
    file.track(0, 3, "rotation", {0, 1}, {0, 0, 0, 1, 0, 0, 0, 1});
    return file;
}

Json& sampler(Gltf& f) {
    return f.json["animations"][0]["samplers"][0];
}

/// Accessor 1 as a sparse one; bufferView 2 holds one index.
Json& sparse(Gltf& f, unsigned char index) {
    f.accessor("SCALAR", 5121, 1, std::string(4, static_cast<char>(index)));
    Json& accessor = f.json["accessors"][1];
    accessor["sparse"] = {{"count", 1},
                          {"indices", {{"bufferView", 2}, {"componentType", 5121}}},
                          {"values", {{"bufferView", 1}}}};
    return accessor["sparse"];
}

/// A skinned triangle.
Json& triangle(Gltf& f, std::vector<float> weights = {1, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0}, char joint = 0,
               char corner = 2) {
    const int positions = f.floats("VEC3", {0, 0, 0, 1, 0, 0, 0, 1, 0});
    const int joints = f.accessor("VEC4", 5121, 3, std::string(12, joint));
    const int weighed = f.floats("VEC4", weights);
    const int indices = f.accessor("SCALAR", 5121, 3, std::string{0, 1, corner, 0});
    f.json["meshes"].push_back(
        {{"primitives",
          Json::array(
              {{{"attributes", {{"POSITION", positions}, {"JOINTS_0", joints}, {"WEIGHTS_0", weighed}}},
                {"indices", indices}}})}});
    f.node("skinned", -1, {{"mesh", 0}, {"skin", 0}});
    return f.json["meshes"][0]["primitives"][0];
}

Json nested(int depth) {
    Json json = 0;
    for (int i = 0; i < depth; ++i) {
        Json outer = Json::array();
        outer.push_back(std::move(json));
        json = std::move(outer);
    }
    return json;
}

const Case cases[] = {
    {"opened", [](Gltf&) {}},
    {"opened", [](Gltf& f) { sparse(f, 1); }},
    {"opened", [](Gltf& f) { triangle(f); }},
    {"opened", [](Gltf& f) { f.json["extras"] = nested(200); }},
    {"bad file: 'c.gltf': it is JSON nested deeper than 256 levels.",
     [](Gltf& f) { f.json["extras"] = nested(300); }},
    {"bad file: 'c.gltf': skin 0: 'joints' is a list, not a whole number of 0 or more.",
     [](Gltf& f) { f.json["skins"][0]["joints"][0] = nested(100); }},
    {"bad file: 'c.gltf': skin 0 has 1025 joints; a figure has at most 1024.",
     [](Gltf& f) { f.json["skins"][0]["joints"] = std::vector<int>(1025, 1); }},
    {"bad file: 'c.gltf': accessor 1 needs 36 bytes of bufferView 1, which has 32.",
     [](Gltf& f) { f.json["accessors"][1]["byteOffset"] = 4; }},
    {"bad file: 'c.gltf': accessor 1: 'byteOffset' is -4, not a whole number of 0 or more.",
     [](Gltf& f) { f.json["accessors"][1]["byteOffset"] = -4; }},
    {"bad file: 'c.gltf': accessor 1: 'byteOffset' is 9007199254740991; it must be below 281474976710656.",
     [](Gltf& f) { f.json["accessors"][1]["byteOffset"] = 9007199254740991; }},
    {"bad file: 'c.gltf': accessor 1: 'byteOffset' is 1e+300; it must be below 281474976710656.",
     [](Gltf& f) { f.json["accessors"][1]["byteOffset"] = 1e300; }},
    {"bad file: 'c.gltf': accessor 1: 'count' is -1, not a whole number of 0 or more.",
     [](Gltf& f) { f.json["accessors"][1]["count"] = -1; }},
    {"bad file: 'c.gltf': accessor 1: 'count' is \"two\", not a whole number of 0 or more.",
     [](Gltf& f) { f.json["accessors"][1]["count"] = "two"; }},
    {"bad file: 'c.gltf': accessor 1: 'count' is missing.",
     [](Gltf& f) { f.json["accessors"][1].erase("count"); }},
    {"bad file: 'c.gltf': animation 0 ('move0') channel 0 has 2 times and 0 values.",
     [](Gltf& f) { f.json["accessors"][1]["count"] = 0; }},
    {"bad file: 'c.gltf': accessor 1 needs 960000000 bytes of bufferView 1, which has 32.",
     [](Gltf& f) { f.json["accessors"][1]["count"] = 60000000; }},
    {"bad file: 'c.gltf': accessor 1 claims 60000000 elements.",
     [](Gltf& f) { f.json["accessors"][1].erase("bufferView"), f.json["accessors"][1]["count"] = 60000000; }},
    {"bad file: 'c.gltf': accessor 1: 'bufferView' is 7; it must be below 2.",
     [](Gltf& f) { f.json["accessors"][1]["bufferView"] = 7; }},
    {"bad file: 'c.gltf': accessor 1: 'type' is not a text.",
     [](Gltf& f) { f.json["accessors"][1]["type"] = 4; }},
    {"bad file: 'c.gltf': accessor 0 is of type 'MAT2', 'SCALAR' is needed here.",
     [](Gltf& f) { f.json["accessors"][0]["type"] = "MAT2"; }},
    {"bad file: 'c.gltf': bufferView 1: 'byteStride' is smaller than an element.",
     [](Gltf& f) { f.json["bufferViews"][1]["byteStride"] = 4; }},
    {"bad file: 'c.gltf': bufferView 1: 'byteStride' is 65536; it must be below 256.",
     [](Gltf& f) { f.json["bufferViews"][1]["byteStride"] = 65536; }},
    {"bad file: 'c.gltf': accessor 1 needs 36 bytes of bufferView 1, which has 32.",
     [](Gltf& f) { f.json["bufferViews"][1]["byteStride"] = 20; }},
    {"bad file: 'c.gltf': bufferView 1: 'byteOffset' is 9007199254740990; it must be below 281474976710656.",
     [](Gltf& f) { f.json["bufferViews"][1]["byteOffset"] = 9007199254740990; }},
    {"bad file: 'c.gltf': bufferView 1: 'buffer' is 1; it must be below 1.",
     [](Gltf& f) { f.json["bufferViews"][1]["buffer"] = 1; }},
    {"bad file: 'c.gltf': bufferView 1: 'byteLength' is missing.",
     [](Gltf& f) { f.json["bufferViews"][1].erase("byteLength"); }},
    {"bad file: 'c.gltf': accessor 1 sparse index 0 is 2, past the last element.",
     [](Gltf& f) { sparse(f, 2); }},
    {"bad file: 'c.gltf': accessor 1 sparse: 'count' is 3; it must be below 3.",
     [](Gltf& f) { sparse(f, 1)["count"] = 3; }},
    {"bad file: 'c.gltf': accessor 1 sparse: 'indices' or 'values' is missing.",
     [](Gltf& f) { sparse(f, 1).erase("values"); }},
    {"bad file: 'c.gltf': accessor 1 sparse indices are not unsigned integers.",
     [](Gltf& f) { sparse(f, 1)["indices"]["componentType"] = 5126; }},
    {"bad file: 'c.gltf': accessor 1 sparse indices: 'bufferView' is 9; it must be below 3.",
     [](Gltf& f) { sparse(f, 1)["indices"]["bufferView"] = 9; }},
    {"bad file: 'c.gltf': accessor 2 element 1 is not finite.",
     [](Gltf& f) {
         sampler(f)["input"] = f.floats("SCALAR", {0, std::numeric_limits<float>::infinity()});
     }},
    {"bad file: 'c.gltf': animation 0 ('move0') channel 0 has no keys.",
     [](Gltf& f) { sampler(f)["input"] = f.floats("SCALAR", {}); }},
    {"bad file: 'c.gltf': animation 0 ('move0') channel 0: 'output' is missing.",
     [](Gltf& f) { sampler(f).erase("output"); }},
    {"bad file: 'c.gltf': animation 0 ('move0') channel 0 has 2 times and 2 values.",
     [](Gltf& f) { sampler(f)["interpolation"] = "CUBICSPLINE"; }},
    {"bad file: 'c.gltf': animation 0 ('move0') channel 0: 'target' is missing.",
     [](Gltf& f) { f.json["animations"][0]["channels"][0].erase("target"); }},
    {"bad file: 'c.gltf': animation 0 ('move0') channel 0: 'node' is 4000000000; it must be below 19.",
     [](Gltf& f) { f.json["animations"][0]["channels"][0]["target"]["node"] = 4000000000; }},
    {"bad file: 'c.gltf': animation 0 ('move0') channel 0: 'samplers' is missing or not a list.",
     [](Gltf& f) { f.json["animations"][0].erase("samplers"); }},
    {"bad file: 'c.gltf': node 2: 'name' is not a text.", [](Gltf& f) { f.json["nodes"][2]["name"] = 5; }},
    {"bad file: 'c.gltf': node 2 ('Spine'): 'children' is not a list.",
     [](Gltf& f) { f.json["nodes"][2]["children"] = "all"; }},
    {"bad file: 'c.gltf': node 2 ('Spine') has two parents, node 1 ('Hips') and node 2 ('Spine').",
     [](Gltf& f) { f.json["nodes"][2]["children"] = {2}; }},
    {"bad file: 'c.gltf': node 2 ('Spine'): 'children' is 1e+99; it must be below 19.",
     [](Gltf& f) { f.json["nodes"][2]["children"] = Json::array({1e99}); }},
    {"bad argument: 'c.gltf': translations of joint 1 (Spine): component 1 is 1e+200, beyond 1e+09.",
     [](Gltf& f) {
         f.json["nodes"][2]["translation"] = {0, 1e200, 0};
     }},
    {"bad file: 'c.gltf': node 2 ('Spine') has a scale of zero.",
     [](Gltf& f) {
         f.json["nodes"][2]["scale"] = {0, 0, 0};
     }},
    {"bad file: 'c.gltf': node 2 ('Spine') has a scale of zero.",
     [](Gltf& f) { f.json["nodes"][2]["matrix"] = std::vector<int>(16, 0); }},
    {"bad figure: 'c.gltf': No hips were found among 1 joints: no name says so and no pair of branches below "
     "'Spine' reaches the ground. Give their role in roles. Roles stand in a figure description beside the "
     "file, "
     "'c.gltf.figure.json'.",
     [](Gltf& f) { f.json["skins"][0]["joints"] = {2}; }},
    {"bad file: 'c.gltf': 'skins' holds something that is not an object.",
     [](Gltf& f) { f.json["skins"] = Json::array({4}); }},
    {"bad file: 'c.gltf': node 19 ('eye'): 'camera' is 0, but the file has none.",
     [](Gltf& f) {
         f.node("eye", -1, {{"camera", 0}});
     }},
    {"bad file: 'c.gltf': camera 0 is neither perspective nor orthographic.",
     [](Gltf& f) {
         f.json["cameras"] = Json::array({{{"type", "perspective"}}}), f.node("eye", -1, {{"camera", 0}});
     }},
    {"bad file: 'c.gltf': mesh 0 primitive 0: it has 3 positions, 3 elements of 'JOINTS_0' and 2 of "
     "'WEIGHTS_0'.",
     [](Gltf& f) {
         triangle(f, {1, 0, 0, 0, 1, 0, 0, 0});
     }},
    {"bad file: 'c.gltf': mesh 0 primitive 0: index 2 is 3, it has 3 vertices.",
     [](Gltf& f) {
         triangle(f, {1, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0}, 0, 3);
     }},
    {"bad file: 'c.gltf': mesh 0 primitive 0: index 2 is 1.000000015e+30, it has 3 vertices.",
     [](Gltf& f) {
         triangle(f)["indices"] = f.floats("SCALAR", {0, 1, 1e30f});
     }},
    {"bad file: 'c.gltf': mesh 0 primitive 0: 'JOINTS_0' is missing, though its node has a skin.",
     [](Gltf& f) { triangle(f)["attributes"].erase("JOINTS_0"); }},
    {"bad file: 'c.gltf': mesh 0 primitive 0: 'WEIGHTS_0' is missing.",
     [](Gltf& f) { triangle(f)["attributes"].erase("WEIGHTS_0"); }},
    {"bad file: 'c.gltf': mesh 0 primitive 0: 'mode' is 9; it must be below 7.",
     [](Gltf& f) { triangle(f)["mode"] = 9; }},
    {"bad file: 'c.gltf': mesh 0 has no primitives.",
     [](Gltf& f) { triangle(f), f.json["meshes"][0]["primitives"] = 3; }},
    {"bad file: 'c.gltf': accessor 6 needs 256 bytes of bufferView 6, which has 64.",
     [](Gltf& f) {
         triangle(f), f.json["skins"][0]["inverseBindMatrices"] = f.floats("MAT4", std::vector<float>(16, 1));
     }},
    {"bad file: 'c.gltf': buffer 0 has a data: URI with broken base64.",
     [](Gltf& f) {
         f.json["buffers"].push_back({{"byteLength", 40}, {"uri", "data:;base64,====A"}});
     }},
    {"bad file: 'c.gltf': buffer 0 has a data: URI that is not base64.",
     [](Gltf& f) {
         f.json["buffers"].push_back({{"byteLength", 40}, {"uri", "data:;base64"}});
     }},
    {"bad file: 'c.gltf': buffer 0 has no data: neither a URI nor a .glb chunk.",
     [](Gltf& f) {
         f.json["buffers"].push_back({{"byteLength", 40}, {"uri", ""}});
     }},
    {"bad file: 'c.gltf': buffer 0 lies at '../../../../../../../../../../dev/zero', which is no file.",
     [](Gltf& f) {
         f.json["buffers"].push_back({{"byteLength", 40}, {"uri", "../../../../../../../../../../dev/zero"}});
     }},
    {"bad file: 'c.gltf': buffer 0 lies at '/dev/zero': only relative paths and data: URIs are read.",
     [](Gltf& f) {
         f.json["buffers"].push_back({{"byteLength", 40}, {"uri", "/dev/zero"}});
     }},
    {"cannot open: cannot read '.': it is a folder.",
     [](Gltf& f) {
         f.json["buffers"].push_back({{"byteLength", 40}, {"uri", "."}});
     }},
};

TEST(HostileGltf, Text) {
    for (const Case& c : cases) {
        Gltf file = moving();
        c.spoil(file);
        EXPECT_EQ(opened("c.gltf", file.text()), c.told);
    }
}

// Single vertices that cannot be used are left out with a remark; the character opens.
TEST(HostileGltf, SpoiltVertices) {
    const float nan = std::numeric_limits<float>::quiet_NaN(), far = 1e30f;
    const Case remarks[] = {
        {"Of mesh 0 primitive 0 1 of 3 vertices are left out with their triangles; the first, vertex 0, has "
         "no "
         "weight.",
         [](Gltf& f) {
             triangle(f, {0, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0});
         }},
        {"Of mesh 0 primitive 0 1 of 3 vertices are left out with their triangles; the first, vertex 0, has "
         "a "
         "negative weight.",
         [](Gltf& f) {
             triangle(f, {-1, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0});
         }},
        {"Of mesh 0 primitive 0 2 of 3 vertices are left out with their triangles; the first, vertex 1, has "
         "a "
         "weight that is not finite.",
         [=](Gltf& f) {
             triangle(f, {1, 0, 0, 0, nan, 0, 0, 0, 1, nan, 0, 0});
         }},
        {"Of mesh 0 primitive 0 1 of 3 vertices are left out with their triangles; the first, vertex 1, has "
         "a "
         "position that is not finite or far too large.",
         [=](Gltf& f) {
             triangle(f)["attributes"]["POSITION"] = f.floats("VEC3", {0, 0, 0, nan, 0, 0, 0, 1, 0});
         }},
        {"Of mesh 0 primitive 0 1 of 3 vertices are left out with their triangles; the first, vertex 2, has "
         "a "
         "position that is not finite or far too large.",
         [=](Gltf& f) {
             triangle(f)["attributes"]["POSITION"] = f.floats("VEC3", {0, 0, 0, 1, 0, 0, 0, 1, far});
         }},
        {"Of mesh 0 primitive 0 3 of 3 vertices are left out with their triangles; the first, vertex 0, has "
         "joint "
         "40 of 17.",
         [](Gltf& f) {
             triangle(f, {1, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0}, 40);
         }},
    };
    for (const Case& c : remarks) {
        Gltf file = moving();
        c.spoil(file);
        const made::Folder folder;
        made::write(folder / "c.gltf", file.text());
        aplomb_character* character = nullptr;
        aplomb_error error{};
        ASSERT_EQ(aplomb_character_open((folder / "c.gltf").c_str(), nullptr, &character, &error), APLOMB_OK)
            << error.message;
        EXPECT_STREQ(aplomb_character_remark(character, 0), c.told);
        EXPECT_EQ(aplomb_character_remark(character, 1), nullptr);
        aplomb_character_close(character);
    }
}

// Found by fuzzing: the lists that writing adds to such a file moved what was being written.
TEST(HostileGltf, WritesAFileWithoutBufferViews) {
    Gltf file = moving();
    file.json.erase("bufferViews");
    file.json.erase("buffers");
    file.json["accessors"] = {{{"componentType", 5126}, {"count", 2}, {"type", "SCALAR"}},
                              {{"componentType", 5126}, {"count", 2}, {"type", "VEC3"}}};
    file.json["animations"][0]["channels"][0]["target"]["path"] = "translation";
    const made::Folder folder;
    made::write(folder / "c.gltf", file.json.dump());
    aplomb_character* character = nullptr;
    aplomb_error error{};
    ASSERT_EQ(aplomb_character_open((folder / "c.gltf").c_str(), nullptr, &character, &error), APLOMB_OK)
        << error.message;
    std::vector<double> translations(51), rotations(68);
    aplomb_character_pose(character, 0, 0, translations.data(), rotations.data(), nullptr);
    translations[4] += 0.5;
    EXPECT_EQ(aplomb_character_write(character, 0, 0, translations.data(), rotations.data(),
                                     (folder / "again.gltf").c_str(), &error),
              APLOMB_OK)
        << error.message;
    aplomb_character_close(character);
    EXPECT_EQ(opened("again.gltf", made::read(folder / "again.gltf")), "opened");
}

// Few bytes must not claim much memory: each of these clips takes 100000 numbers anew.
TEST(HostileGltf, ManyTracksOfOneAccessor) {
    Gltf file = moving();
    std::vector<float> times, values;
    for (int i = 0; i < 20000; ++i) {
        times.push_back(static_cast<float>(i));
        values.insert(values.end(), {0, 0, 0, 1});
    }
    file.track(1, 1, "rotation", times, values);
    const aplomb::io::Json one = file.json["animations"][1];
    for (int i = 0; i < 900; ++i)
        file.json["animations"].push_back(one);
    const std::string told = opened("c.gltf", file.text());
    EXPECT_NE(told.find(" is used so often that the file expands to "), std::string::npos) << told;
}

TEST(HostileGltf, Containers) {
    const std::string good = moving().glb();
    EXPECT_EQ(opened("c.glb", ""), "bad file: 'c.glb': it is neither glTF 2.0 nor BVH.");
    EXPECT_EQ(opened("c.glb", "glTF"), "bad file: 'c.glb': the .glb header is truncated.");
    EXPECT_EQ(opened("c.glb", good.substr(0, 12)),
              "bad file: 'c.glb': the file is truncated: its header says 1760 bytes, it has 12.");
    std::string head = good.substr(0, 16);
    head[8] = 16, head[9] = 0;
    EXPECT_EQ(opened("c.glb", head), "bad file: 'c.glb': a .glb chunk header is truncated at byte 12.");
    std::string bare = good.substr(0, 12);
    bare[8] = 12, bare[9] = 0;
    EXPECT_EQ(opened("c.glb", bare), "bad file: 'c.glb': it is not valid JSON in UTF-8.");
    std::string deep = "{\"asset\":" + std::string(200000, '[');
    EXPECT_EQ(opened("c.gltf", deep), "bad file: 'c.gltf': it is JSON nested deeper than 256 levels.");
}

} // namespace
} // namespace hostile
