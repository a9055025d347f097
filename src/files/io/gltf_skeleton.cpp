// SPDX-License-Identifier: MIT
#include "io/gltf_skeleton.h"

#include "io/fault.h"
#include "io/near_names.h"

#include <algorithm>

namespace aplomb::io {
namespace {

constexpr std::size_t most_joints = 1024; // as aplomb_figure_desc

std::size_t find_skin(const GltfDocument& document, const std::string& skin) {
    const std::size_t count = document.count("skins");
    if (skin.empty()) return 0;
    std::vector<std::string> names;
    for (std::size_t i = 0; i < count; ++i) {
        names.push_back(optional_text(document.element("skins", i), "name", "skin " + std::to_string(i)));
        if (names.back() == skin) return i;
    }
    if (const int number = whole_number(skin); number >= 0 && static_cast<std::size_t>(number) < count)
        return static_cast<std::size_t>(number);
    std::string hint = count == 0 ? "; the file has no skin" : near_names(skin, names);
    if (hint.empty()) {
        for (std::size_t i = 0; i < count && i < 8; ++i)
            hint +=
                (i == 0 ? "; there is '" : ", '") + (names[i].empty() ? std::to_string(i) : names[i]) + "'";
        if (count > 8) hint += " and more";
    }
    throw Fault{APLOMB_BAD_ARGUMENT, "no skin is called '" + skin + "'" + hint, "skin"};
}

void check_count(std::size_t count, const std::string& where) {
    if (count > most_joints)
        refuse(where + " has " + std::to_string(count) + " joints; a figure has at most " +
               std::to_string(most_joints));
}

std::vector<int> skin_joints(const GltfDocument& document, std::size_t skin, std::size_t node_count) {
    const std::string where = "skin " + std::to_string(skin);
    const Json* list = member(document.element("skins", skin), "joints");
    if (list == nullptr || !list->is_array() || list->empty()) refuse(where + " has no joints");
    check_count(list->size(), where);
    std::vector<int> joints;
    for (const Json& item : *list)
        joints.push_back(static_cast<int>(index_value(item, "joints", node_count, where)));
    return joints;
}

std::vector<char> moved_nodes(const GltfDocument& document, std::size_t node_count) {
    std::vector<char> moved(node_count, 0);
    for (std::size_t a = 0; a < document.count("animations"); ++a) {
        const std::string where = "animation " + std::to_string(a);
        const Json* channels = member(document.element("animations", a), "channels");
        if (channels == nullptr || !channels->is_array()) continue; // refused where clips are read
        for (const Json& channel : *channels) {
            const Json* target = member(channel, "target");
            if (target == nullptr) continue;
            if (const auto node = optional_index(*target, "node", node_count, where)) moved[*node] = 1;
        }
    }
    return moved;
}

/// The nodes at and below one that are moved, carry nothing that is seen, or are a rigid part with a place of its own.
std::vector<int> joints_below(const GltfDocument& document, const std::vector<GltfNode>& nodes,
                              const std::vector<char>& moved, int top) {
    std::vector<int> open = {top}, joints;
    while (!open.empty()) {
        const int node = open.back();
        open.pop_back();
        const GltfNode& here = nodes[static_cast<std::size_t>(node)];
        const bool is_part =
            member(document.element("nodes", static_cast<std::size_t>(node)), "mesh") != nullptr &&
            norm(here.transform.translation) > 0;
        if (here.bare || moved[static_cast<std::size_t>(node)] || is_part) joints.push_back(node);
        open.insert(open.end(), here.children.begin(), here.children.end());
    }
    return joints;
}

/// A file of motion alone has no skin, and a machine of rigid parts needs none: the joints are the largest tree of nodes, from
/// where it first branches on.
std::vector<int> tree_joints(const GltfDocument& document, const std::vector<GltfNode>& nodes) {
    const std::vector<char> moved = moved_nodes(document, nodes.size());
    std::vector<int> largest;
    for (std::size_t i = 0; i < nodes.size(); ++i) {
        if (nodes[i].parent >= 0) continue;
        int top = static_cast<int>(i);
        const auto at = [&](int node) { return static_cast<std::size_t>(node); };
        while (!moved[at(top)] && nodes[at(top)].children.size() == 1)
            top = nodes[at(top)].children[0];
        std::vector<int> joints = joints_below(document, nodes, moved, top);
        if (joints.size() > largest.size()) largest = std::move(joints);
    }
    if (largest.size() < 2)
        refuse("the file has no skin and no nodes below each other, so no joints to make a figure of");
    check_count(largest.size(), "the tree of nodes");
    return largest;
}

/// The path to the lowest node that has all joints at or below it.
std::vector<int> common_path(const std::vector<GltfNode>& nodes, const std::vector<int>& joints) {
    std::vector<int> common = path_to(nodes, joints[0]);
    for (const int joint : joints) {
        const std::vector<int> path = path_to(nodes, joint);
        std::size_t length = 0;
        while (length < common.size() && length < path.size() && common[length] == path[length])
            ++length;
        if (length == 0)
            refuse(nodes[static_cast<std::size_t>(joints[0])].label + " and " +
                   nodes[static_cast<std::size_t>(joint)].label +
                   " of one skin have no node above both: two roots");
        common.resize(length);
    }
    return common;
}

/// The child that marks a last joint's end: a bare leaf, by name where there are several.
int end_node(const std::vector<GltfNode>& nodes, int joint) {
    std::vector<int> leaves;
    for (const int child : nodes[static_cast<std::size_t>(joint)].children) {
        const GltfNode& node = nodes[static_cast<std::size_t>(child)];
        if (!node.bare || !node.children.empty()) continue;
        if (lower_case(node.name).find("end") != std::string::npos) return child;
        leaves.push_back(child);
    }
    return leaves.size() == 1 ? leaves[0] : -1;
}

} // namespace

GltfSkeleton read_skeleton(const GltfDocument& document, const std::vector<GltfNode>& nodes,
                           const std::string& skin) {
    const bool skinless = document.count("skins") == 0 && skin.empty();
    const std::vector<int> joints = skinless ? tree_joints(document, nodes)
                                             : skin_joints(document, find_skin(document, skin), nodes.size());
    GltfSkeleton skeleton;
    skeleton.above = common_path(nodes, joints);
    const int root = skeleton.above.back();
    skeleton.above.pop_back();

    std::vector<char> wanted(nodes.size(), 0);
    for (int node : joints)
        for (; node >= 0 && !wanted[static_cast<std::size_t>(node)];
             node = nodes[static_cast<std::size_t>(node)].parent)
            wanted[static_cast<std::size_t>(node)] = 1;

    // Depth first, children in the file's order.
    std::vector<std::pair<int, int>> open = {{root, -1}};
    while (!open.empty()) {
        const auto [node, parent] = open.back();
        open.pop_back();
        const int joint = static_cast<int>(skeleton.nodes.size());
        skeleton.nodes.push_back(node);
        skeleton.parents.push_back(parent);
        const std::vector<int>& children = nodes[static_cast<std::size_t>(node)].children;
        for (std::size_t i = children.size(); i-- > 0;)
            if (wanted[static_cast<std::size_t>(children[i])]) open.push_back({children[i], joint});
    }
    std::vector<char> has_child(skeleton.nodes.size(), 0);
    for (const int parent : skeleton.parents)
        if (parent >= 0) has_child[static_cast<std::size_t>(parent)] = 1;
    for (std::size_t i = 0; i < skeleton.nodes.size(); ++i)
        skeleton.end_nodes.push_back(has_child[i] ? -1 : end_node(nodes, skeleton.nodes[i]));
    return skeleton;
}

} // namespace aplomb::io
