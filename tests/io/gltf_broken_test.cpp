// SPDX-License-Identifier: MIT
// Files that are not what they claim to be, and the sentence that says so.
#include "io/fault.h"
#include "io/gltf_character.h"

#include "made_files.h"

#include <gtest/gtest.h>

#include <functional>

using namespace aplomb::io;
using made::Gltf;

namespace {

std::string fault_of(const std::string& bytes, const std::string& skin = "") {
    try {
        const auto character = open_gltf(bytes, "", skin);
        character->pose(-1, 0);
        if (character->clip_count() > 0) character->pose(0, 0.5);
    } catch (const Fault& fault) {
        return fault.message;
    }
    return "no fault";
}

Gltf moving() {
    Gltf file;
    file.node("base", -1);
    file.node("top", 0);
    file.json["skins"].push_back({{"joints", Json::array({0, 1})}});
    file.track(0, 1, "rotation", {0, 1}, {0, 0, 0, 1, 0, 0, 0, 1});
    return file;
}

struct Case {
    const char* message;
    std::function<void(Gltf&)> spoil;
};

const Case cases[] = {
    {"no fault", [](Gltf&) {}},
    {"it is not glTF: 'asset' with a 'version' is missing", [](Gltf& f) { f.json.erase("asset"); }},
    {"it is glTF 1.0; only glTF 2.0 is read", [](Gltf& f) { f.json["asset"]["version"] = "1.0"; }},
    {"'nodes' is not a list", [](Gltf& f) { f.json["nodes"] = 3; }},
    {"the file has no skin and no nodes below each other, so no joints to make a figure of",
     [](Gltf& f) {
         f.json.erase("skins");
         f.json["nodes"][0].erase("children");
     }},
    {"skin 0 has no joints", [](Gltf& f) { f.json["skins"][0].erase("joints"); }},
    {"skin 0: 'joints' is 9; it must be below 2", [](Gltf& f) { f.json["skins"][0]["joints"][0] = 9; }},
    {"skin 0: 'joints' is -1, not a whole number of 0 or more",
     [](Gltf& f) { f.json["skins"][0]["joints"][0] = -1; }},
    {"node 0 ('base') and node 1 ('top') of one skin have no node above both: two roots",
     [](Gltf& f) { f.json["nodes"][0].erase("children"); }},
    {"node 0 ('base') is its own ancestor",
     [](Gltf& f) { f.json["nodes"][1]["children"] = Json::array({0}); }},
    {"node 1 ('top') has two parents, node 0 ('base') and node 2 ('other')",
     [](Gltf& f) {
         f.node("other", -1, {{"children", Json::array({1})}});
     }},
    {"node 0 ('base'): 'translation' is not a list of 3 finite numbers",
     [](Gltf& f) {
         f.json["nodes"][0]["translation"] = Json::array({1, 2});
     }},
    {"node 0 ('base'): 'rotation' is not of unit length",
     [](Gltf& f) {
         f.json["nodes"][0]["rotation"] = Json::array({0, 0, 0, 2});
     }},
    {"node 0 ('base') is scaled unevenly; a figure needs even scale above its joints",
     [](Gltf& f) {
         f.json["nodes"][0]["scale"] = Json::array({1, 1, 2});
     }},
    {"node 0 ('base') has a scale of zero",
     [](Gltf& f) {
         f.json["nodes"][0]["scale"] = Json::array({0, 0, 0});
     }},
    {"node 0 ('base') is sheared; a figure needs rotation, translation and even scale",
     [](Gltf& f) {
         f.json["nodes"][0]["matrix"] = Json::array({1, 0, 0, 0, 1, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1});
     }},
    {"animation 0 ('move0'): 'channels' is missing or not a list",
     [](Gltf& f) { f.json["animations"][0].erase("channels"); }},
    {"animation 0 ('move0') channel 0: 'sampler' is 4; it must be below 1",
     [](Gltf& f) { f.json["animations"][0]["channels"][0]["sampler"] = 4; }},
    {"animation 0 ('move0') channel 0: 'interpolation' is 'SMOOTH', not one of STEP, LINEAR, CUBICSPLINE",
     [](Gltf& f) { f.json["animations"][0]["samplers"][0]["interpolation"] = "SMOOTH"; }},
    {"animation 0 ('move0') channel 1 moves the rotation of node 1 ('top') a second time",
     [](Gltf& f) {
         f.track(0, 1, "rotation", {0}, {0, 0, 0, 1});
     }},
    {"animation 0 ('move0') channel 0: time 1 lies before the one ahead of it",
     [](Gltf& f) {
         f.json["animations"][0]["samplers"][0]["input"] = f.floats("SCALAR", {1, 0});
     }},
    {"animation 0 ('move0') channel 0 has 3 times and 2 values",
     [](Gltf& f) {
         f.json["animations"][0]["samplers"][0]["input"] = f.floats("SCALAR", {0, 1, 2});
     }},
    {"animation 0 ('move0') channel 0: the rotation of key 1 is not of unit length",
     [](Gltf& f) {
         f.json["animations"][0]["samplers"][0]["output"] = f.floats("VEC4", {0, 0, 0, 1, 0, 0, 0, 0});
     }},
    {"accessor 2 element 0 is not finite",
     [](Gltf& f) {
         const float nan = std::numeric_limits<float>::quiet_NaN();
         f.json["animations"][0]["samplers"][0]["output"] = f.floats("VEC4", {nan, 0, 0, 1, 0, 0, 0, 1});
     }},
    {"accessor 1 is of type 'VEC3', 'VEC4' is needed here",
     [](Gltf& f) { f.json["accessors"][1]["type"] = "VEC3"; }},
    {"accessor 1: 'componentType' 5130 is not one of glTF 2.0",
     [](Gltf& f) { f.json["accessors"][1]["componentType"] = 5130; }},
    {"accessor 1 needs 48 bytes of bufferView 1, which has 32",
     [](Gltf& f) { f.json["accessors"][1]["count"] = 3; }},
    {"accessor 1 claims 99999999999 elements",
     [](Gltf& f) { f.json["accessors"][1]["count"] = 99999999999; }},
    {"bufferView 1 ends at byte 1008 of buffer 0, which has 40",
     [](Gltf& f) { f.json["bufferViews"][1]["byteLength"] = 1000; }},
    {"bufferView 1 is compressed (EXT_meshopt_compression), which is not read",
     [](Gltf& f) {
         f.json["bufferViews"][1]["extensions"] = {{"EXT_meshopt_compression", Json::object()}};
     }},
    {"buffer 0 says 4000 bytes, only 40 are there",
     [](Gltf& f) {
         f.json["buffers"].push_back({{"byteLength", 4000}, {"uri", "data:;base64," + std::string(54, 'A')}});
     }},
    {"buffer 0 has a data: URI that is not base64",
     [](Gltf& f) {
         f.json["buffers"].push_back({{"byteLength", 4}, {"uri", "data:text/plain,abcd"}});
     }},
    {"buffer 0 lies at 'https://example.org/a.bin': only relative paths and data: URIs are read",
     [](Gltf& f) {
         f.json["buffers"].push_back({{"byteLength", 4}, {"uri", "https://example.org/a.bin"}});
     }},
    {"buffer 0 has no data: neither a URI nor a .glb chunk",
     [](Gltf& f) {
         f.json["buffers"].push_back({{"byteLength", 4}});
     }},
    {"cannot read 'gone.bin': No such file or directory",
     [](Gltf& f) {
         f.json["buffers"].push_back({{"byteLength", 4}, {"uri", "gone.bin"}});
     }},
};

} // namespace

TEST(GltfBroken, TextFiles) {
    for (const Case& c : cases) {
        Gltf file = moving();
        c.spoil(file);
        EXPECT_EQ(fault_of(file.text()), c.message);
    }
}

TEST(GltfBroken, SkinThatIsNotThere) {
    Gltf file = moving();
    file.json["skins"][0]["name"] = "body";
    EXPECT_EQ(fault_of(file.text(), "bdy"), "no skin is called 'bdy'; near: 'body'");
    EXPECT_EQ(fault_of(file.text(), "7"), "no skin is called '7'; there is 'body'");
    file.json["skins"][0].erase("name");
    EXPECT_EQ(fault_of(file.text(), "body"), "no skin is called 'body'; there is '0'");
    file.json.erase("skins");
    EXPECT_EQ(fault_of(file.text(), "0"), "no skin is called '0'; the file has no skin");
}

TEST(GltfBroken, NotJson) {
    EXPECT_EQ(fault_of("{\"asset\": "), "it is not valid JSON in UTF-8");
    std::string text = moving().text();
    text.replace(text.find("base"), 1, "\xE9"); // Latin-1 in a name
    EXPECT_EQ(fault_of(text), "it is not valid JSON in UTF-8");
    EXPECT_EQ(fault_of("[1]"), "it is not glTF: the JSON is not an object");
}

TEST(GltfBroken, Containers) {
    const std::string good = moving().glb();
    EXPECT_EQ(fault_of(good), "no fault");
    EXPECT_EQ(fault_of(good.substr(0, 10)), "the .glb header is truncated");
    const std::string size = std::to_string(good.size());
    EXPECT_EQ(fault_of(good.substr(0, good.size() - 1)), "the file is truncated: its header says " + size +
                                                             " bytes, it has " +
                                                             std::to_string(good.size() - 1));
    std::string wrong = good;
    wrong[4] = 1;
    EXPECT_EQ(fault_of(wrong), "it is .glb version 1; only version 2 is read");
    wrong = good;
    wrong[15] = '\x7F';
    EXPECT_NE(fault_of(wrong).find("the .glb chunk at byte 12 says "), std::string::npos);
    wrong = good;
    wrong[16] = 'X';
    EXPECT_EQ(fault_of(wrong), "the first .glb chunk is not JSON");
}

// Whatever byte is spoilt: a fault or a figure, never a crash (run with sanitizers).
TEST(GltfBroken, EverySpoiltByte) {
    const std::string good = moving().glb();
    int faults = 0;
    for (std::size_t i = 0; i < good.size(); ++i)
        for (const char value : {'\0', '\xFF', '9', '"'}) {
            std::string wrong = good;
            wrong[i] = value;
            faults += fault_of(wrong) != "no fault";
        }
    for (std::size_t i = 0; i < good.size(); ++i)
        faults += fault_of(good.substr(0, i)) != "no fault";
    EXPECT_GT(faults, static_cast<int>(good.size()));
}
