// SPDX-License-Identifier: MIT
#include "made_files.h"

#include "io/uri.h"

#include <atomic>
#include <bit>
#include <cstdint>
#include <fstream>
#include <iterator>
#include <random>

namespace made {

using aplomb::io::Json;

namespace {

void put_u32(std::string& bytes, std::uint32_t value) {
    for (int k = 0; k < 4; ++k)
        bytes += static_cast<char>((value >> (8 * k)) & 0xFFu);
}

struct Part {
    const char* name;
    const char* parent;
    double x, y, z;
};

// A lay figure of our own measures, metres.
const std::vector<Part> parts = {
    {"Hips", "", 0, 0.92, 0},
    {"Spine", "Hips", 0, 0.12, 0},
    {"Chest", "Spine", 0, 0.2, 0},
    {"Neck", "Chest", 0, 0.22, 0},
    {"Head", "Neck", 0, 0.1, 0},
    {"LeftUpperArm", "Chest", 0.18, 0.16, 0},
    {"LeftLowerArm", "LeftUpperArm", 0, -0.28, 0},
    {"LeftHand", "LeftLowerArm", 0, -0.25, 0},
    {"RightUpperArm", "Chest", -0.18, 0.16, 0},
    {"RightLowerArm", "RightUpperArm", 0, -0.28, 0},
    {"RightHand", "RightLowerArm", 0, -0.25, 0},
    {"LeftThigh", "Hips", 0.09, -0.04, 0},
    {"LeftShank", "LeftThigh", 0, -0.41, 0},
    {"LeftFoot", "LeftShank", 0, -0.4, 0},
    {"RightThigh", "Hips", -0.09, -0.04, 0},
    {"RightShank", "RightThigh", 0, -0.41, 0},
    {"RightFoot", "RightShank", 0, -0.4, 0},
};

std::string bvh_numbers(double x, double y, double z) {
    return std::to_string(x * 100) + " " + std::to_string(y * 100) + " " + std::to_string(z * 100);
}

void put_bvh_joint(std::string& text, const Part& part, const std::string& indent) {
    const bool root = std::string(part.parent).empty();
    text += indent + (root ? "ROOT " : "JOINT ") + part.name + "\n" + indent + "{\n";
    text += indent + "\tOFFSET " + (root ? "0 0 0" : bvh_numbers(part.x, part.y, part.z)) + "\n";
    text += indent + (root ? "\tCHANNELS 6 Xposition Yposition Zposition Zrotation Xrotation Yrotation\n"
                           : "\tCHANNELS 3 Zrotation Xrotation Yrotation\n");
    bool leaf = true;
    for (const Part& other : parts) {
        if (std::string(other.parent) != part.name) continue;
        leaf = false;
        put_bvh_joint(text, other, indent + "\t");
    }
    if (leaf) {
        const bool foot = std::string(part.name).find("Foot") != std::string::npos;
        const bool head = std::string(part.name) == "Head";
        const std::string end = foot ? "0 -7 18" : head ? "0 20 0" : "0 -18 0";
        text += indent + "\tEnd Site\n" + indent + "\t{\n" + indent + "\t\tOFFSET " + end + "\n" + indent +
                "\t}\n";
    }
    text += indent + "}\n";
}

} // namespace

Folder::Folder() {
    static std::atomic<unsigned> number{0};
    std::random_device device;
    m_path = std::filesystem::temp_directory_path() /
             ("aplomb_io_" + std::to_string(device()) + "_" + std::to_string(number++));
    std::filesystem::create_directories(m_path);
}

Folder::~Folder() {
    std::error_code ignored;
    std::filesystem::remove_all(m_path, ignored);
}

std::string read(const std::filesystem::path& path) {
    std::ifstream stream(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(stream), std::istreambuf_iterator<char>()};
}

void write(const std::filesystem::path& path, const std::string& bytes) {
    std::filesystem::create_directories(path.parent_path());
    std::ofstream(path, std::ios::binary) << bytes;
}

Gltf::Gltf() {
    json = {{"asset", {{"version", "2.0"}}}};
    for (const char* list : {"nodes", "skins", "bufferViews", "accessors", "buffers"})
        json[list] = Json::array();
}

int Gltf::node(const std::string& name, int parent, Json members) {
    const int index = static_cast<int>(json["nodes"].size());
    Json node = {{"name", name}};
    node.update(members);
    json["nodes"].push_back(node);
    if (parent >= 0) {
        Json& above = json["nodes"][static_cast<std::size_t>(parent)];
        if (!above.contains("children")) above["children"] = Json::array();
        above["children"].push_back(index);
    }
    return index;
}

int Gltf::accessor(const std::string& type, int component, std::size_t count, const std::string& raw,
                   bool normalized) {
    json["bufferViews"].push_back({{"buffer", 0}, {"byteOffset", bytes.size()}, {"byteLength", raw.size()}});
    bytes += raw;
    while (bytes.size() % 4 != 0)
        bytes += '\0';
    Json accessor = {{"bufferView", json["bufferViews"].size() - 1},
                     {"componentType", component},
                     {"count", count},
                     {"type", type}};
    if (normalized) accessor["normalized"] = true;
    json["accessors"].push_back(accessor);
    return static_cast<int>(json["accessors"].size()) - 1;
}

int Gltf::floats(const std::string& type, const std::vector<float>& values) {
    std::string raw;
    for (const float value : values)
        put_u32(raw, std::bit_cast<std::uint32_t>(value));
    const std::size_t width = type == "SCALAR" ? 1 : type == "VEC3" ? 3 : 4;
    return accessor(type, 5126, values.size() / width, raw);
}

void Gltf::track(std::size_t animation, int node, const std::string& path, const std::vector<float>& times,
                 const std::vector<float>& values, const std::string& interpolation) {
    if (!json.contains("animations")) json["animations"] = Json::array();
    while (json["animations"].size() <= animation)
        json["animations"].push_back({{"name", "move" + std::to_string(json["animations"].size())},
                                      {"channels", Json::array()},
                                      {"samplers", Json::array()}});
    Json& target = json["animations"][animation];
    const int input = floats("SCALAR", times);
    const int output = floats(path == "rotation" ? "VEC4" : "VEC3", values);
    target["channels"].push_back(
        {{"sampler", target["samplers"].size()}, {"target", {{"node", node}, {"path", path}}}});
    target["samplers"].push_back({{"input", input}, {"output", output}, {"interpolation", interpolation}});
}

std::string Gltf::text() const {
    return text_beside("data:application/octet-stream;base64," + aplomb::io::base64_encode(bytes));
}

std::string Gltf::text_beside(const std::string& uri) const {
    Json whole = json;
    if (whole["buffers"].empty()) whole["buffers"].push_back({{"byteLength", bytes.size()}, {"uri", uri}});
    return whole.dump();
}

std::string Gltf::glb() const {
    Json whole = json;
    if (whole["buffers"].empty()) whole["buffers"].push_back({{"byteLength", bytes.size()}});
    std::string text = whole.dump(), file;
    while (text.size() % 4 != 0)
        text += ' ';
    put_u32(file, aplomb::io::glb_magic);
    put_u32(file, 2);
    put_u32(file, static_cast<std::uint32_t>(28 + text.size() + bytes.size()));
    put_u32(file, static_cast<std::uint32_t>(text.size()));
    put_u32(file, aplomb::io::glb_json);
    file += text;
    put_u32(file, static_cast<std::uint32_t>(bytes.size()));
    put_u32(file, aplomb::io::glb_bin);
    return file + bytes;
}

Gltf lay_figure() {
    Gltf file;
    file.node("armature", -1);
    Json joints = Json::array();
    std::vector<std::string> names = {"armature"};
    for (const Part& part : parts) {
        int parent = 0;
        for (std::size_t i = 0; i < names.size(); ++i)
            if (names[i] == part.parent) parent = static_cast<int>(i);
        joints.push_back(
            file.node(part.name, parent, {{"translation", Json::array({part.x, part.y, part.z})}}));
        names.emplace_back(part.name);
    }
    file.json["skins"].push_back({{"name", "body"}, {"joints", joints}});
    file.node("Head_end", 5, {{"translation", Json::array({0, 0.2, 0})}});
    return file;
}

std::string lay_figure_bvh() {
    std::string text = "HIERARCHY\n";
    put_bvh_joint(text, parts[0], "");
    text += "MOTION\nFrames: 3\nFrame Time: 0.5\n";
    const std::size_t turns = 3 * parts.size();
    for (int frame = 0; frame < 3; ++frame) {
        text += std::to_string(frame) + " 92.0 0";
        for (std::size_t i = 0; i < turns; ++i)
            text += " " + std::to_string(static_cast<double>((i * 7) % 11) - 5.0 + frame);
        text += "\n";
    }
    return text;
}

} // namespace made
