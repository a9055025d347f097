// SPDX-License-Identifier: MIT
#include "io/gltf_mesh.h"

#include "io/fault.h"
#include "io/gltf_accessor.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <optional>
#include <set>
#include <utility>

namespace aplomb::io {
namespace {

// The greatest distance of a vertex in the space where it is bound; calculations with a farther one might overflow.
constexpr double farthest = 1e9;

/// A mesh that is sound but packed in a way that is not read.
struct Compressed {
    std::string message;
};

struct Influence {
    int bone = -1;
    double weight = 0;
};

/// A number that should be a small whole one, but may be any.
std::string shown(double value) {
    char text[32];
    std::snprintf(text, sizeof text, "%.10g", value);
    return text;
}

std::string label_of(const GltfDocument& document, std::size_t mesh) {
    const std::string where = "mesh " + std::to_string(mesh);
    const std::string name = optional_text(document.element("meshes", mesh), "name", where);
    return name.empty() ? where : where + " ('" + name + "')";
}

bool has_extension(const Json& json, const char* name) {
    const Json* extensions = member(json, "extensions");
    return extensions != nullptr && member(*extensions, name) != nullptr;
}

/// read_accessor by index, which tells a compressed accessor from a broken one.
std::vector<double> read_numbers(GltfDocument& document, std::size_t accessor, const char* type,
                                 Unfinite unfinite = Unfinite::refused) {
    const auto view = optional_index(document.element("accessors", accessor), "bufferView",
                                     document.count("bufferViews"), "accessor " + std::to_string(accessor));
    if (view && has_extension(document.element("bufferViews", *view), "EXT_meshopt_compression"))
        throw Compressed{"is compressed (EXT_meshopt_compression), which is not read"};
    return read_accessor(document, accessor, type, unfinite);
}

std::optional<std::vector<double>> read_attribute(GltfDocument& document, const Json& attributes,
                                                  const std::string& name, const char* type) {
    const auto accessor =
        optional_index(attributes, name.c_str(), document.count("accessors"), "'attributes'");
    if (!accessor) return std::nullopt;
    return read_numbers(document, *accessor, type, Unfinite::kept); // a vertex may be left out
}

/// The joints of a skin as joints of the figure; nothing where one of them is none of the figure's.
std::optional<std::vector<Bone>> bones_of(const GltfDocument& document, std::size_t skin,
                                          const std::vector<int>& joint_of_node) {
    const std::string where = "skin " + std::to_string(skin);
    const Json* list = member(document.element("skins", skin), "joints");
    if (list == nullptr || !list->is_array() || list->empty()) refuse(where + " has no joints");
    std::vector<Bone> bones;
    for (const Json& item : *list) {
        Bone bone;
        bone.joint = joint_of_node[index_value(item, "joints", joint_of_node.size(), where)];
        if (bone.joint < 0) return std::nullopt;
        bones.push_back(bone);
    }
    return bones;
}

/// Without any, the vertices are in the joints' frames already (section 3.7.3.1: identity).
void set_inverse_binds(GltfDocument& document, std::size_t skin, std::vector<Bone>& bones) {
    const std::string where = "skin " + std::to_string(skin);
    const auto accessor = optional_index(document.element("skins", skin), "inverseBindMatrices",
                                         document.count("accessors"), where);
    if (!accessor) return;
    const std::vector<double> numbers = read_numbers(document, *accessor, "MAT4");
    if (numbers.size() < 16 * bones.size())
        refuse(where + " has " + std::to_string(bones.size()) + " joints and " +
               std::to_string(numbers.size() / 16) + " inverse bind matrices");
    for (std::size_t i = 0; i < bones.size(); ++i) {
        const double* m = &numbers[16 * i];
        bones[i].turn = Mat3::from_columns({m[0], m[1], m[2]}, {m[4], m[5], m[6]}, {m[8], m[9], m[10]});
        bones[i].place = {m[12], m[13], m[14]};
    }
}

/// Appends one primitive to the skin.
class PrimitiveReader {
public:
    /// Of a rigid part all vertices move with the first bone.
    PrimitiveReader(GltfDocument& document, const Json& primitive, std::size_t first_bone, Skin& skin)
        : m_document(document), m_primitive(primitive), m_first_bone(first_bone),
          m_bone_count(skin.bones.size() - first_bone), m_rigid(skin.bones[first_bone].rigid), m_skin(skin) {}

    /// Says what was left out, or nothing.
    std::string read() {
        const std::size_t mode = optional_index(m_primitive, "mode", 7, "").value_or(4);
        if (mode < 4) return ""; // points and lines have no surface
        if (has_extension(m_primitive, "KHR_draco_mesh_compression"))
            throw Compressed{"is compressed (KHR_draco_mesh_compression), which is not read"};
        const Json* attributes = member(m_primitive, "attributes");
        if (attributes == nullptr) refuse("'attributes' is missing");
        const auto positions = read_attribute(m_document, *attributes, "POSITION", "VEC3");
        if (!positions) return ""; // nothing to draw (section 3.7.2.1)
        m_count = positions->size() / 3;
        m_numbers.assign(m_count, -1);
        std::vector<std::vector<Influence>> influences =
            m_rigid ? std::vector<std::vector<Influence>>(m_count, {{static_cast<int>(m_first_bone), 1}})
                    : read_influences(*attributes);
        for (std::size_t i = 0; i < m_count; ++i)
            add_vertex({(*positions)[3 * i], (*positions)[3 * i + 1], (*positions)[3 * i + 2]}, influences[i],
                       i);
        add_triangles(mode, read_indices());
        return left_out();
    }

private:
    std::vector<std::vector<Influence>> read_influences(const Json& attributes) {
        std::vector<std::vector<Influence>> influences(m_count);
        std::size_t set = 0;
        for (; add_set(attributes, set, influences); ++set) {
        }
        if (set == 0) refuse("'JOINTS_0' is missing, though its node has a skin");
        return influences;
    }

    bool add_set(const Json& attributes, std::size_t set, std::vector<std::vector<Influence>>& influences) {
        const std::string number = std::to_string(set);
        const auto joints = read_attribute(m_document, attributes, "JOINTS_" + number, "VEC4");
        if (!joints) return false;
        const auto weights = read_attribute(m_document, attributes, "WEIGHTS_" + number, "VEC4");
        if (!weights) refuse("'WEIGHTS_" + number + "' is missing");
        if (joints->size() != 4 * m_count || weights->size() != 4 * m_count)
            refuse("it has " + std::to_string(m_count) + " positions, " + std::to_string(joints->size() / 4) +
                   " elements of 'JOINTS_" + number + "' and " + std::to_string(weights->size() / 4) +
                   " of 'WEIGHTS_" + number + "'");
        for (std::size_t k = 0; k < joints->size(); ++k) {
            const double weight = (*weights)[k], bone = (*joints)[k];
            if (!std::isfinite(weight))
                spoil(k / 4, "a weight that is not finite");
            else if (weight < 0)
                spoil(k / 4, "a negative weight");
            else if (weight > 0 &&
                     !(bone >= 0 && bone < static_cast<double>(m_bone_count) && bone == std::floor(bone)))
                spoil(k / 4, "joint " + shown(bone) + " of " + std::to_string(m_bone_count));
            else if (weight > 0)
                influences[k / 4].push_back(
                    {static_cast<int>(m_first_bone) + static_cast<int>(bone), weight});
        }
        return true;
    }

    /// Marks this vertex to be left out; the fault of the first such vertex is told.
    void spoil(std::size_t vertex, const std::string& fault) {
        if (m_spoilt.empty() || vertex < *m_spoilt.begin()) m_fault = fault;
        m_spoilt.insert(vertex);
    }

    std::string left_out() const {
        if (m_spoilt.empty()) return "";
        return std::to_string(m_spoilt.size()) + " of " + std::to_string(m_count) +
               " vertices are left out with their triangles; the first, vertex " +
               std::to_string(*m_spoilt.begin()) + ", has " + m_fault;
    }

    /// The four largest weights, summing to 1. Rounding keeps files from doing that by themselves.
    void add_vertex(const Vec3& place, std::vector<Influence>& influences, std::size_t vertex) {
        std::stable_sort(influences.begin(), influences.end(),
                         [](const Influence& a, const Influence& b) { return a.weight > b.weight; });
        influences.resize(4);
        double sum = 0;
        for (const Influence& influence : influences)
            sum += influence.weight;
        const double distance = norm(place);
        if (!std::isfinite(distance) || distance > farthest)
            spoil(vertex, "a position that is not finite or far too large");
        if (!(sum > 0)) spoil(vertex, "no weight");
        if (m_spoilt.count(vertex) > 0) return;
        m_numbers[vertex] = static_cast<std::int32_t>(m_skin.bound.size());
        m_skin.bound.push_back(place);
        std::array<int, 4> bones;
        std::array<double, 4> weights;
        for (std::size_t k = 0; k < 4; ++k) {
            bones[k] = influences[k].bone;
            weights[k] = influences[k].weight / sum;
        }
        m_skin.influences.push_back(bones);
        m_skin.weights.push_back(weights);
    }

    std::vector<std::size_t> read_indices() {
        std::vector<std::size_t> indices;
        const auto accessor =
            optional_index(m_primitive, "indices", m_document.count("accessors"), "'indices'");
        if (!accessor) {
            for (std::size_t i = 0; i < m_count; ++i)
                indices.push_back(i);
            return indices;
        }
        for (const double value : read_numbers(m_document, *accessor, "SCALAR")) {
            if (!(value >= 0 && value < static_cast<double>(m_count) && value == std::floor(value)))
                refuse("index " + std::to_string(indices.size()) + " is " + shown(value) + ", it has " +
                       std::to_string(m_count) + " vertices");
            indices.push_back(static_cast<std::size_t>(value));
        }
        return indices;
    }

    /// Lists, strips and fans (section 3.7.2.1), counter-clockwise from outside in all three.
    void add_triangles(std::size_t mode, const std::vector<std::size_t>& indices) {
        const auto add = [&](std::size_t a, std::size_t b, std::size_t c) {
            const std::array<std::int32_t, 3> corners = {m_numbers[indices[a]], m_numbers[indices[b]],
                                                         m_numbers[indices[c]]};
            if (*std::min_element(corners.begin(), corners.end()) >= 0)
                m_skin.triangles.insert(m_skin.triangles.end(), corners.begin(), corners.end());
        };
        if (mode == 4) {
            for (std::size_t i = 0; i + 2 < indices.size(); i += 3)
                add(i, i + 1, i + 2);
            return;
        }
        for (std::size_t i = 0; i + 2 < indices.size(); ++i) {
            if (mode == 5)
                add(i, i + 1 + i % 2, i + 2 - i % 2);
            else
                add(i + 1, i + 2, 0);
        }
    }

    GltfDocument& m_document;
    const Json& m_primitive;
    std::size_t m_first_bone, m_bone_count;
    bool m_rigid;
    Skin& m_skin;
    std::size_t m_count = 0;             // vertices of this primitive
    std::vector<std::int32_t> m_numbers; // theirs in the skin; -1: left out
    std::set<std::size_t> m_spoilt;
    std::string m_fault; // of the first spoilt one
};

void read_mesh(GltfDocument& document, std::size_t mesh, std::size_t first_bone, GltfSkin& result) {
    const std::string label = label_of(document, mesh);
    const Json* primitives = member(document.element("meshes", mesh), "primitives");
    if (primitives == nullptr || !primitives->is_array() || primitives->empty())
        refuse(label + " has no primitives");
    for (std::size_t i = 0; i < primitives->size(); ++i) {
        const std::string where = label + " primitive " + std::to_string(i);
        try {
            const std::string left_out =
                PrimitiveReader(document, (*primitives)[i], first_bone, result.skin).read();
            if (!left_out.empty()) result.remarks.push_back("Of " + where + " " + left_out + ".");
        } catch (Fault& fault) {
            fault.message = where + ": " + fault.message;
            throw;
        } catch (Compressed& packed) {
            packed.message = where + " " + packed.message;
            throw;
        }
    }
}

/// Mesh and skin of every skinned mesh node, each pair once.
std::vector<std::pair<std::size_t, std::size_t>> skinned_meshes(const GltfDocument& document) {
    std::vector<std::pair<std::size_t, std::size_t>> found;
    std::set<std::pair<std::size_t, std::size_t>> seen;
    for (std::size_t i = 0; i < document.count("nodes"); ++i) {
        const Json& node = document.element("nodes", i);
        const std::string where = "node " + std::to_string(i);
        const auto skin = optional_index(node, "skin", document.count("skins"), where);
        if (!skin) continue;
        const auto mesh = optional_index(node, "mesh", document.count("meshes"), where);
        if (mesh && seen.insert({*mesh, *skin}).second) found.emplace_back(*mesh, *skin);
    }
    return found;
}

/// Per joint of the figure: whether a skin moves vertices with it.
std::vector<char> skinned_joints(const Skin& skin, std::size_t count) {
    std::vector<char> skinned(count, 0);
    for (const auto& influences : skin.influences)
        for (const int bone : influences)
            if (bone >= 0)
                skinned[static_cast<std::size_t>(skin.bones[static_cast<std::size_t>(bone)].joint)] = 1;
    return skinned;
}

/// The nearest node at or above `node` that is a joint, or -1.
int joint_above(const std::vector<GltfNode>& nodes, const std::vector<int>& joint_of_node, int node) {
    while (node >= 0 && joint_of_node[static_cast<std::size_t>(node)] < 0)
        node = nodes[static_cast<std::size_t>(node)].parent;
    return node;
}

/// A bone that takes points from a node's own space into that of the joint above it.
Bone rigid_bone(const std::vector<GltfNode>& nodes, int node, int joint_node, int joint) {
    Bone bone;
    bone.joint = joint, bone.rigid = true;
    for (; node != joint_node; node = nodes[static_cast<std::size_t>(node)].parent) {
        const NodeTransform& t = nodes[static_cast<std::size_t>(node)].transform;
        const Mat3 scale{{{t.scale.x, 0, 0}, {0, t.scale.y, 0}, {0, 0, t.scale.z}}};
        const Mat3 own = to_matrix(normalized(t.rotation)) * scale;
        bone.place = own * bone.place + t.translation;
        bone.turn = own * bone.turn;
    }
    return bone;
}

/// A part is read into a copy, so that one that is broken leaves nothing behind.
void add_rigid_part(GltfDocument& document, std::size_t mesh, const Bone& bone, GltfSkin& result) {
    GltfSkin with = result;
    with.skin.bones.push_back(bone);
    try {
        read_mesh(document, mesh, with.skin.bones.size() - 1, with);
        result = std::move(with);
    } catch (const Fault& fault) {
        result.remarks.push_back("A rigid part is left out: " + fault.message + ".");
    } catch (const Compressed& packed) {
        result.remarks.push_back("A rigid part is left out: " + packed.message + ".");
    }
}

void add_rigid_parts(GltfDocument& document, const std::vector<GltfNode>& nodes,
                     const std::vector<int>& joint_of_node, GltfSkin& result) {
    const std::vector<char> skinned = skinned_joints(result.skin, nodes.size());
    const auto joint_of = [&](int node) {
        return node < 0 ? -1 : joint_of_node[static_cast<std::size_t>(node)];
    };
    const auto is_skinned = [&](int joint) {
        return joint >= 0 && skinned[static_cast<std::size_t>(joint)] != 0;
    };
    for (std::size_t i = 0; i < document.count("nodes"); ++i) {
        const Json& json = document.element("nodes", i);
        const std::string where = "node " + std::to_string(i);
        const auto mesh = optional_index(json, "mesh", document.count("meshes"), where);
        if (!mesh || optional_index(json, "skin", document.count("skins"), where)) continue;
        const int node = joint_above(nodes, joint_of_node, static_cast<int>(i));
        if (joint_of(node) <= 0) continue; // what hangs from the root stands beside the figure
        const int parent = joint_above(nodes, joint_of_node, nodes[static_cast<std::size_t>(node)].parent);
        if (is_skinned(joint_of(node)) || is_skinned(joint_of(parent))) continue;
        add_rigid_part(document, *mesh, rigid_bone(nodes, static_cast<int>(i), node, joint_of(node)), result);
    }
}

} // namespace

GltfSkin read_skin(GltfDocument& document, const std::vector<GltfNode>& nodes,
                   const std::vector<int>& joint_of_node) {
    GltfSkin result;
    Skin& whole = result.skin;
    for (const auto& [mesh, skin] : skinned_meshes(document)) {
        auto bones = bones_of(document, skin, joint_of_node);
        if (!bones) continue; // another character's
        try {
            set_inverse_binds(document, skin, *bones);
            const std::size_t first_bone = whole.bones.size();
            whole.bones.insert(whole.bones.end(), bones->begin(), bones->end());
            read_mesh(document, mesh, first_bone, result);
        } catch (const Compressed& packed) {
            return {Skin{}, packed.message, {}};
        }
    }
    if (!whole.bound.empty()) add_rigid_parts(document, nodes, joint_of_node, result);
    if (whole.bound.empty() && !result.remarks.empty()) result.unread = "no vertex of it can be used";
    return result;
}

} // namespace aplomb::io
