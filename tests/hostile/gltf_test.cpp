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
    {"@", [](Gltf& f) { f.json["extras"] = nested(300); }},
    {"@", [](Gltf& f) { f.json["skins"][0]["joints"][0] = nested(100); }},
    {"@", [](Gltf& f) { f.json["skins"][0]["joints"] = std::vector<int>(1025, 1); }},
    {"@", [](Gltf& f) { f.json["accessors"][1]["byteOffset"] = 4; }},
    {"@", [](Gltf& f) { f.json["accessors"][1]["byteOffset"] = -4; }},
    {"@", [](Gltf& f) { f.json["accessors"][1]["byteOffset"] = 9007199254740991; }},
    {"@", [](Gltf& f) { f.json["accessors"][1]["byteOffset"] = 1e300; }},
    {"@", [](Gltf& f) { f.json["accessors"][1]["count"] = -1; }},
    {"@", [](Gltf& f) { f.json["accessors"][1]["count"] = "two"; }},
    {"@", [](Gltf& f) { f.json["accessors"][1].erase("count"); }},
    {"@", [](Gltf& f) { f.json["accessors"][1]["count"] = 0; }},
    {"@", [](Gltf& f) { f.json["accessors"][1]["count"] = 60000000; }},
    {"@",
     [](Gltf& f) { f.json["accessors"][1].erase("bufferView"), f.json["accessors"][1]["count"] = 60000000; }},
    {"@", [](Gltf& f) { f.json["accessors"][1]["bufferView"] = 7; }},
    {"@", [](Gltf& f) { f.json["accessors"][1]["type"] = 4; }},
    {"@", [](Gltf& f) { f.json["accessors"][0]["type"] = "MAT2"; }},
    {"@", [](Gltf& f) { f.json["bufferViews"][1]["byteStride"] = 4; }},
    {"@", [](Gltf& f) { f.json["bufferViews"][1]["byteStride"] = 65536; }},
    {"@", [](Gltf& f) { f.json["bufferViews"][1]["byteStride"] = 20; }},
    {"@", [](Gltf& f) { f.json["bufferViews"][1]["byteOffset"] = 9007199254740990; }},
    {"@", [](Gltf& f) { f.json["bufferViews"][1]["buffer"] = 1; }},
    {"@", [](Gltf& f) { f.json["bufferViews"][1].erase("byteLength"); }},
    {"@", [](Gltf& f) { sparse(f, 2); }},
    {"@", [](Gltf& f) { sparse(f, 1)["count"] = 3; }},
    {"@", [](Gltf& f) { sparse(f, 1).erase("values"); }},
    {"@", [](Gltf& f) { sparse(f, 1)["indices"]["componentType"] = 5126; }},
    {"@", [](Gltf& f) { sparse(f, 1)["indices"]["bufferView"] = 9; }},
    {"@",
     [](Gltf& f) {
         sampler(f)["input"] = f.floats("SCALAR", {0, std::numeric_limits<float>::infinity()});
     }},
    {"@", [](Gltf& f) { sampler(f)["input"] = f.floats("SCALAR", {}); }},
    {"@", [](Gltf& f) { sampler(f).erase("output"); }},
    {"@", [](Gltf& f) { sampler(f)["interpolation"] = "CUBICSPLINE"; }},
    {"@", [](Gltf& f) { f.json["animations"][0]["channels"][0].erase("target"); }},
    {"@", [](Gltf& f) { f.json["animations"][0]["channels"][0]["target"]["node"] = 4000000000; }},
    {"@", [](Gltf& f) { f.json["animations"][0].erase("samplers"); }},
    {"@", [](Gltf& f) { f.json["nodes"][2]["name"] = 5; }},
    {"@", [](Gltf& f) { f.json["nodes"][2]["children"] = "all"; }},
    {"@", [](Gltf& f) { f.json["nodes"][2]["children"] = {2}; }},
    {"@", [](Gltf& f) { f.json["nodes"][2]["children"] = Json::array({1e99}); }},
    {"@",
     [](Gltf& f) {
         f.json["nodes"][2]["translation"] = {0, 1e200, 0};
     }},
    {"@",
     [](Gltf& f) {
         f.json["nodes"][2]["scale"] = {0, 0, 0};
     }},
    {"@", [](Gltf& f) { f.json["nodes"][2]["matrix"] = std::vector<int>(16, 0); }},
    {"@", [](Gltf& f) { f.json["skins"][0]["joints"] = {2}; }},
    {"@", [](Gltf& f) { f.json["skins"] = Json::array({4}); }},
    {"@",
     [](Gltf& f) {
         f.node("eye", -1, {{"camera", 0}});
     }},
    {"@",
     [](Gltf& f) {
         f.json["cameras"] = Json::array({{{"type", "perspective"}}}), f.node("eye", -1, {{"camera", 0}});
     }},
    {"@",
     [](Gltf& f) {
         triangle(f, {0, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0});
     }},
    {"@",
     [](Gltf& f) {
         triangle(f, {-1, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0});
     }},
    {"@",
     [](Gltf& f) {
         triangle(f, {1, 0, 0, 0, 1, 0, 0, 0});
     }},
    {"@",
     [](Gltf& f) {
         triangle(f, {1, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0}, 40);
     }},
    {"@",
     [](Gltf& f) {
         triangle(f, {1, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0}, 0, 3);
     }},
    {"@",
     [](Gltf& f) {
         triangle(f)["indices"] = f.floats("SCALAR", {0, 1, 1e30f});
     }},
    {"@", [](Gltf& f) { triangle(f)["attributes"].erase("JOINTS_0"); }},
    {"@", [](Gltf& f) { triangle(f)["attributes"].erase("WEIGHTS_0"); }},
    {"@", [](Gltf& f) { triangle(f)["mode"] = 9; }},
    {"@", [](Gltf& f) { triangle(f), f.json["meshes"][0]["primitives"] = 3; }},
    {"@",
     [](Gltf& f) {
         triangle(f), f.json["skins"][0]["inverseBindMatrices"] = f.floats("MAT4", std::vector<float>(16, 1));
     }},
    {"@",
     [](Gltf& f) {
         f.json["buffers"].push_back({{"byteLength", 40}, {"uri", "data:;base64,====A"}});
     }},
    {"@",
     [](Gltf& f) {
         f.json["buffers"].push_back({{"byteLength", 40}, {"uri", "data:;base64"}});
     }},
    {"@",
     [](Gltf& f) {
         f.json["buffers"].push_back({{"byteLength", 40}, {"uri", ""}});
     }},
    {"@",
     [](Gltf& f) {
         f.json["buffers"].push_back({{"byteLength", 40}, {"uri", "../../../../../../../../../../dev/zero"}});
     }},
    {"@",
     [](Gltf& f) {
         f.json["buffers"].push_back({{"byteLength", 40}, {"uri", "/dev/zero"}});
     }},
    {"@",
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

TEST(HostileGltf, Containers) {
    const std::string good = moving().glb();
    EXPECT_EQ(opened("c.glb", ""), "@");
    EXPECT_EQ(opened("c.glb", "glTF"), "@");
    EXPECT_EQ(opened("c.glb", good.substr(0, 12)), "@");
    std::string head = good.substr(0, 16);
    head[8] = 16, head[9] = 0;
    EXPECT_EQ(opened("c.glb", head), "@");
    std::string bare = good.substr(0, 12);
    bare[8] = 12, bare[9] = 0;
    EXPECT_EQ(opened("c.glb", bare), "@");
    std::string deep = "{\"asset\":" + std::string(200000, '[');
    EXPECT_EQ(opened("c.gltf", deep), "@");
}

} // namespace
} // namespace hostile
