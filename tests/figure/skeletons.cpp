// SPDX-License-Identifier: MIT
#include "figure/skeletons.h"

#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>
#include <fstream>
#include <iterator>
#include <limits>
#include <sstream>

#include "json/json.h"

namespace aplomb_test {

using aplomb::Vec3;

int32_t Skeleton::add(const std::string& name, int32_t parent, double x, double y, double z) {
    const Vec3 place = {x, y, z};
    const Vec3 local = parent < 0 ? place : place - places[static_cast<size_t>(parent)];
    names.push_back(name);
    parents.push_back(parent);
    places.push_back(place);
    translations.insert(translations.end(), {local.x, local.y, local.z});
    rotations.insert(rotations.end(), {0, 0, 0, 1});
    tips.insert(tips.end(), 3, std::numeric_limits<double>::quiet_NaN());
    return static_cast<int32_t>(names.size()) - 1;
}

void Skeleton::set_tip(int32_t joint, double x, double y, double z) {
    double* tip = tips.data() + 3 * joint;
    tip[0] = x, tip[1] = y, tip[2] = z;
}

int32_t Skeleton::find(const std::string& name) const {
    for (size_t i = 0; i < names.size(); ++i)
        if (names[i] == name) return static_cast<int32_t>(i);
    return -1;
}

void Skeleton::forget_names() {
    for (size_t i = 0; i < names.size(); ++i)
        names[i] = "bone_" + std::to_string(i);
}

static aplomb_figure_desc default_settings() {
    aplomb_figure_desc desc;
    aplomb_figure_desc_init(&desc, sizeof desc);
    return desc;
}

Built::Built(const Skeleton& skeleton) : Built(skeleton, default_settings()) {}

Built::Built(const Skeleton& skeleton, const aplomb_figure_desc& settings) {
    aplomb_figure_desc desc = settings;
    std::vector<const char*> names;
    for (const std::string& name : skeleton.names)
        names.push_back(name.c_str());
    desc.joint_count = static_cast<int32_t>(skeleton.parents.size());
    desc.parents = skeleton.parents.data();
    desc.translations = skeleton.translations.data();
    desc.rotations = skeleton.rotations.data();
    desc.tips = skeleton.tips.data();
    desc.names = names.data();
    if (!skeleton.roles.empty()) desc.roles = skeleton.roles.data();
    desc.metres_per_unit = skeleton.metres_per_unit;
    desc.up_axis = skeleton.up;
    desc.forward_axis = skeleton.forward;
    status = aplomb_figure_create(&desc, nullptr, &figure, &error);
}

const aplomb::Joint& Built::joint(const std::string& name) const {
    static const aplomb::Joint none;
    if (!figure) return none;
    const int32_t index = aplomb_figure_find_joint(figure, name.c_str());
    if (index >= 0) return figure->joints[index];
    ADD_FAILURE() << "no joint " << name;
    return none;
}

std::string Built::remarks() const {
    std::string all;
    for (int32_t i = 0; figure && i < figure->remark_count; ++i)
        all += std::string(figure->remarks[i].text) + "\n";
    return all;
}

Vec3 Built::centre_of_mass() const {
    Vec3 sum;
    double mass = 0;
    for (int32_t j = 0; j < figure->joint_count; ++j) {
        const aplomb::Joint& joint = figure->joints[j];
        sum += joint.mass * (joint.neutral_position + rotate(joint.neutral, joint.centre));
        mass += joint.mass;
    }
    return sum / mass;
}

// ---- Reference files: only what the tests need ------------------------------------------------------------

namespace {

void read_bvh(std::istream& in, Skeleton& skeleton) {
    std::vector<int32_t> open;
    std::string word;
    int32_t joint = -1;
    bool end = false;
    while (in >> word && word != "MOTION") {
        if (word == "ROOT" || word == "JOINT") {
            in >> word;
            joint = static_cast<int32_t>(skeleton.names.size());
            skeleton.names.push_back(word);
            skeleton.parents.push_back(open.empty() ? -1 : open.back());
            skeleton.rotations.insert(skeleton.rotations.end(), {0, 0, 0, 1});
            skeleton.tips.insert(skeleton.tips.end(), 3, std::numeric_limits<double>::quiet_NaN());
        } else if (word == "End") {
            end = true;
        } else if (word == "{") {
            open.push_back(joint);
        } else if (word == "}") {
            if (end) end = false;
            open.pop_back();
        } else if (word == "OFFSET") {
            double x = 0, y = 0, z = 0;
            in >> x >> y >> z;
            if (end)
                skeleton.set_tip(open.back(), x, y, z);
            else
                skeleton.translations.insert(skeleton.translations.end(), {x, y, z});
        }
    }
}

using aplomb::Json;

void read_node(const Json& nodes, const std::vector<bool>& in_skin, size_t node, int32_t parent,
               Skeleton& skeleton) {
    const Json& here = nodes[node];
    int32_t index = parent;
    if (in_skin[node]) {
        index = static_cast<int32_t>(skeleton.names.size());
        skeleton.names.push_back(here.value("name", ""));
        skeleton.parents.push_back(parent);
        const auto t = here.value("translation", std::vector<double>{0, 0, 0});
        const auto r = here.value("rotation", std::vector<double>{0, 0, 0, 1});
        skeleton.translations.insert(skeleton.translations.end(), t.begin(), t.end());
        skeleton.rotations.insert(skeleton.rotations.end(), r.begin(), r.end());
        skeleton.tips.insert(skeleton.tips.end(), 3, std::numeric_limits<double>::quiet_NaN());
    }
    for (const Json& child : here.value("children", Json::array()))
        read_node(nodes, in_skin, child.get<size_t>(), index, skeleton);
}

void read_glb(std::istream& in, Skeleton& skeleton) {
    const std::string bytes{std::istreambuf_iterator<char>(in), {}};
    const auto byte = [&bytes](size_t i) {
        return static_cast<size_t>(static_cast<unsigned char>(bytes[i]));
    };
    const size_t length = byte(12) | byte(13) << 8 | byte(14) << 16 | byte(15) << 24;
    const Json document = Json::parse(bytes.substr(20, length));
    const Json& nodes = document["nodes"];
    std::vector<bool> in_skin(nodes.size()), is_child(nodes.size());
    for (const Json& joint : document["skins"][0]["joints"])
        in_skin[joint.get<size_t>()] = true;
    for (const Json& node : nodes)
        for (const Json& child : node.value("children", Json::array()))
            is_child[child.get<size_t>()] = true;
    for (size_t i = 0; i < nodes.size(); ++i)
        if (!is_child[i]) read_node(nodes, in_skin, i, -1, skeleton);
}

} // namespace

bool read_reference(const std::string& path, Skeleton& skeleton) {
    const std::string full = std::string(APLOMB_SOURCE_DIR) + "/../shared/reference/" + path;
    std::ifstream in(full, std::ios::binary);
    if (!in) {
        std::fprintf(stderr, "*** NOT TESTED: the reference file %s is missing ***\n", path.c_str());
        return false;
    }
    if (path.ends_with(".bvh"))
        read_bvh(in, skeleton);
    else
        read_glb(in, skeleton);
    return true;
}

Skeleton make_biped(double h) {
    Skeleton s;
    const int32_t hips = s.add("hips", -1, 0, 0.53 * h, 0);
    const int32_t spine = s.add("spine", hips, 0, 0.60 * h, 0);
    const int32_t chest = s.add("chest", spine, 0, 0.70 * h, 0);
    const int32_t neck = s.add("neck", chest, 0, 0.86 * h, 0);
    const int32_t head = s.add("head", neck, 0, 0.91 * h, 0.01 * h);
    s.set_tip(head, 0, 0.09 * h, 0);
    for (const double side : {1.0, -1.0}) {
        const std::string mark = side > 0 ? "left_" : "right_";
        const double x = side * 0.129 * h, hip = side * 0.05 * h;
        const int32_t girdle = s.add(mark + "clavicle", chest, side * 0.02 * h, 0.82 * h, 0);
        const int32_t upper = s.add(mark + "upper_arm", girdle, x, 0.818 * h, 0);
        const int32_t lower = s.add(mark + "forearm", upper, x, 0.632 * h, 0);
        const int32_t hand = s.add(mark + "hand", lower, x, 0.486 * h, 0);
        s.set_tip(hand, 0, -0.108 * h, 0);
        const int32_t thigh = s.add(mark + "thigh", hips, hip, 0.53 * h, 0);
        const int32_t shank = s.add(mark + "shin", thigh, hip, 0.285 * h, 0);
        const int32_t foot = s.add(mark + "foot", shank, hip, 0.039 * h, 0);
        const int32_t toe = s.add(mark + "toes", foot, hip, 0.01 * h, 0.075 * h);
        s.set_tip(toe, 0, 0, 0.04 * h);
    }
    return s;
}

} // namespace aplomb_test
