// SPDX-License-Identifier: MIT
#include "io/gltf_nodes.h"

#include "io/fault.h"

#include <algorithm>

namespace aplomb::io {
namespace {

// A relative tolerance: files are written in single precision, and matrices pass through several products.
constexpr double matrix_tolerance = 1e-4;

void read_matrix(const std::vector<double>& m, GltfNode& node) {
    const Vec3 x = {m[0], m[1], m[2]}, y = {m[4], m[5], m[6]}, z = {m[8], m[9], m[10]};
    NodeTransform& transform = node.transform;
    transform.translation = {m[12], m[13], m[14]};
    transform.scale = {norm(x), norm(y), norm(z)};
    node.has_matrix = true;
    if (!(transform.scale.x > 0 && transform.scale.y > 0 && transform.scale.z > 0)) return;
    const Vec3 a = normalized(x), b = normalized(y), c = normalized(z);
    const double mirror = dot(cross(a, b), c) < 0 ? -1.0 : 1.0;
    transform.scale.x *= mirror;
    node.sheared =
        std::max({std::fabs(dot(a, b)), std::fabs(dot(b, c)), std::fabs(dot(c, a))}) > matrix_tolerance;
    // The nearest proper axes, so that rounding in the file does not tilt the quaternion.
    const Vec3 first = a * mirror, second = normalized(reject(b, first));
    transform.rotation = to_quat(Mat3::from_columns(first, second, cross(first, second)));
}

void read_transform(const Json& json, GltfNode& node) {
    if (const auto matrix = optional_numbers(json, "matrix", 16, node.label))
        return read_matrix(*matrix, node);
    if (const auto t = optional_numbers(json, "translation", 3, node.label))
        node.transform.translation = {(*t)[0], (*t)[1], (*t)[2]};
    if (const auto s = optional_numbers(json, "scale", 3, node.label))
        node.transform.scale = {(*s)[0], (*s)[1], (*s)[2]};
    if (const auto r = optional_numbers(json, "rotation", 4, node.label)) {
        node.transform.rotation = {(*r)[0], (*r)[1], (*r)[2], (*r)[3]};
        if (std::fabs(dot(node.transform.rotation, node.transform.rotation) - 1) > 0.01)
            refuse(node.label + ": 'rotation' is not of unit length");
    }
}

void read_children(const Json& json, int index, std::vector<GltfNode>& nodes) {
    const Json* children = member(json, "children");
    if (children == nullptr) return;
    const std::string& label = nodes[static_cast<std::size_t>(index)].label;
    if (!children->is_array()) refuse(label + ": 'children' is not a list");
    for (const Json& item : *children) {
        const std::size_t child = index_value(item, "children", nodes.size(), label);
        GltfNode& node = nodes[child];
        if (node.parent >= 0)
            refuse(node.label + " has two parents, " + nodes[static_cast<std::size_t>(node.parent)].label +
                   " and " + label);
        node.parent = index;
        nodes[static_cast<std::size_t>(index)].children.push_back(static_cast<int>(child));
    }
}

void check_no_cycle(const std::vector<GltfNode>& nodes) {
    // Every node has at most one parent, so whatever a walk from the roots does not reach lies on a cycle.
    std::vector<int> open;
    std::vector<char> reached(nodes.size(), 0);
    for (std::size_t i = 0; i < nodes.size(); ++i)
        if (nodes[i].parent < 0) open.push_back(static_cast<int>(i));
    while (!open.empty()) {
        const auto index = static_cast<std::size_t>(open.back());
        open.pop_back();
        reached[index] = 1;
        open.insert(open.end(), nodes[index].children.begin(), nodes[index].children.end());
    }
    for (std::size_t i = 0; i < nodes.size(); ++i)
        if (!reached[i]) refuse(nodes[i].label + " is its own ancestor");
}

} // namespace

std::vector<GltfNode> read_nodes(const GltfDocument& document) {
    std::vector<GltfNode> nodes(document.count("nodes"));
    for (std::size_t i = 0; i < nodes.size(); ++i) {
        const Json& json = document.element("nodes", i);
        GltfNode& node = nodes[i];
        node.label = "node " + std::to_string(i);
        node.name = optional_text(json, "name", node.label);
        if (!node.name.empty()) node.label += " ('" + node.name + "')";
        node.bare = member(json, "mesh") == nullptr && member(json, "camera") == nullptr &&
                    (member(json, "extensions") == nullptr ||
                     member(*member(json, "extensions"), "KHR_lights_punctual") == nullptr);
        read_transform(json, node);
    }
    for (std::size_t i = 0; i < nodes.size(); ++i)
        read_children(document.element("nodes", i), static_cast<int>(i), nodes);
    check_no_cycle(nodes);
    return nodes;
}

std::vector<int> path_to(const std::vector<GltfNode>& nodes, int node) {
    std::vector<int> path;
    for (; node >= 0; node = nodes[static_cast<std::size_t>(node)].parent)
        path.push_back(node);
    std::reverse(path.begin(), path.end());
    return path;
}

Vec3 even_scale(const GltfNode& node, const Vec3& scale) {
    if (node.sheared) refuse(node.label + " is sheared; a figure needs rotation, translation and even scale");
    const Vec3 size = {std::fabs(scale.x), std::fabs(scale.y), std::fabs(scale.z)};
    const double largest = std::max({size.x, size.y, size.z});
    if (!(largest > 0)) refuse(node.label + " has a scale of zero");
    if (largest - std::min({size.x, size.y, size.z}) > matrix_tolerance * largest)
        refuse(node.label + " is scaled unevenly; a figure needs even scale above its joints");
    const double mean = size.x == size.y && size.y == size.z ? size.x : (size.x + size.y + size.z) / 3;
    return {std::copysign(mean, scale.x), std::copysign(mean, scale.y), std::copysign(mean, scale.z)};
}

} // namespace aplomb::io
