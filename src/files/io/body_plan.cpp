// SPDX-License-Identifier: MIT
#include "io/body_plan.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace aplomb::io {
namespace {

struct Tree {
    std::vector<std::vector<int>> children;
    std::vector<int> sizes; // joints at and below
};

Tree tree_of(const std::vector<SkeletonJoint>& joints) {
    Tree tree{std::vector<std::vector<int>>(joints.size()), std::vector<int>(joints.size(), 1)};
    for (std::size_t i = 1; i < joints.size(); ++i)
        tree.children[static_cast<std::size_t>(joints[i].parent)].push_back(static_cast<int>(i));
    for (std::size_t i = joints.size(); i-- > 1;)
        tree.sizes[static_cast<std::size_t>(joints[i].parent)] += tree.sizes[i];
    return tree;
}

std::vector<int> joints_below(const Tree& tree, int joint) {
    std::vector<int> found = {joint};
    for (std::size_t i = 0; i < found.size(); ++i)
        for (const int child : tree.children[static_cast<std::size_t>(found[i])])
            found.push_back(child);
    return found;
}

/// The chain of largest branches from a branch's first joint on.
std::vector<int> chain_of(const Tree& tree, int branch) {
    std::vector<int> chain = {branch};
    for (;;) {
        const std::vector<int>& next = tree.children[static_cast<std::size_t>(chain.back())];
        if (next.empty()) return chain;
        chain.push_back(*std::max_element(next.begin(), next.end(), [&](int a, int b) {
            return tree.sizes[static_cast<std::size_t>(a)] < tree.sizes[static_cast<std::size_t>(b)];
        }));
    }
}

struct Branch {
    std::vector<int> chain;
    int size = 0;
    double length = 0;
};

Branch branch_at(const Tree& tree, const Pose& rest, int joint) {
    Branch branch{chain_of(tree, joint), tree.sizes[static_cast<std::size_t>(joint)], 0};
    for (std::size_t i = 1; i < branch.chain.size(); ++i)
        branch.length += norm(rest.translations[static_cast<std::size_t>(branch.chain[i])]);
    return branch;
}

bool are_alike(const Branch& a, const Branch& b) {
    constexpr double as_long = 0.03;
    return a.size == b.size && std::fabs(a.length - b.length) <= as_long * std::max(a.length, b.length);
}

/// Whether another one is like it.
bool has_alike(const std::vector<Branch>& all, const Branch& branch) {
    return std::count_if(all.begin(), all.end(),
                         [&](const Branch& other) { return are_alike(other, branch); }) > 1;
}

/// The longest branches that are alike: legs, not what hangs beside them. None where no two are.
std::vector<Branch> longest_pair(const std::vector<Branch>& all) {
    const Branch* longest = nullptr;
    for (const Branch& branch : all)
        if (has_alike(all, branch) && (longest == nullptr || branch.length > longest->length))
            longest = &branch;
    std::vector<Branch> pair;
    for (const Branch& branch : all)
        if (longest != nullptr && are_alike(*longest, branch)) pair.push_back(branch);
    return pair;
}

/// Thigh, shank, foot, and toe where there are four.
PlanLeg leg_of(std::vector<int> chain) {
    PlanLeg leg;
    leg.upper = chain.front();
    if (chain.size() > 3) {
        leg.toe = chain.back();
        chain.pop_back();
    }
    leg.end = chain.back();
    if (chain.size() > 2) leg.lower = chain[chain.size() / 2];
    return leg;
}

aplomb_limb_info limb_info(const aplomb_figure& figure, int32_t limb) {
    aplomb_limb_info info;
    aplomb_limb_info_init(&info, sizeof info);
    aplomb_figure_limb(&figure, limb, &info, nullptr);
    return info;
}

aplomb_joint_info joint_info(const aplomb_figure& figure, int32_t joint) {
    aplomb_joint_info info;
    aplomb_joint_info_init(&info, sizeof info);
    aplomb_figure_joint(&figure, joint, &info, nullptr);
    return info;
}

int named_side(const aplomb_figure& figure, const aplomb_figure& turned, int32_t joint) {
    const int side = joint_info(figure, joint).side;
    if (side != joint_info(turned, joint).side) return 0;
    return side == APLOMB_SIDE_LEFT ? 1 : side == APLOMB_SIDE_RIGHT ? -1 : 0;
}

} // namespace

bool BodyPlan::has_fore_legs() const {
    return std::any_of(legs.begin(), legs.end(), [](const PlanLeg& leg) { return leg.fore; });
}

bool BodyPlan::pair(const PlanLeg** first, const PlanLeg** other) const {
    for (std::size_t i = 0; i < legs.size(); ++i)
        for (std::size_t k = i + 1; k < legs.size(); ++k)
            if (legs[i].fore == legs[k].fore && (legs[i].side != legs[k].side || legs[i].side == 0)) {
                *first = &legs[i], *other = &legs[k];
                return true;
            }
    return false;
}

BodyPlan plan_of_tree(const std::vector<SkeletonJoint>& joints, const Pose& rest) {
    const Tree tree = tree_of(joints);
    std::size_t hips = 0;
    while (tree.children[hips].size() == 1)
        hips = static_cast<std::size_t>(tree.children[hips][0]);
    const std::vector<int>& branches = tree.children[hips];
    BodyPlan plan;
    if (branches.empty()) return plan;
    const auto size = [&](int branch) { return tree.sizes[static_cast<std::size_t>(branch)]; };
    const auto is_lone = [&](int branch) {
        return std::count_if(branches.begin(), branches.end(),
                             [&](int other) { return size(other) == size(branch); }) == 1;
    };
    const auto rank = [&](int branch) { return std::pair(is_lone(branch), size(branch)); };
    const int trunk =
        *std::max_element(branches.begin(), branches.end(), [&](int a, int b) { return rank(a) < rank(b); });
    plan.trunk = joints_below(tree, trunk);
    std::vector<Branch> others;
    for (const int branch : branches)
        if (branch != trunk) others.push_back(branch_at(tree, rest, branch));
    const std::vector<Branch> legs = longest_pair(others);
    for (const Branch& leg : legs.empty() ? others : legs)
        plan.legs.push_back(leg_of(leg.chain));
    if (legs.empty()) return plan;
    std::size_t most = 0;
    for (const Branch& branch : others)
        if (!has_alike(others, branch) && branch.chain.size() > most)
            most = branch.chain.size(), plan.tail = branch.chain.back();
    return plan;
}

BodyPlan plan_of_figure(const aplomb_figure& figure, const aplomb_figure& turned) {
    BodyPlan plan;
    std::vector<int> arms;
    for (int32_t i = 0; i < aplomb_figure_limb_count(&figure); ++i) {
        const aplomb_limb_info limb = limb_info(figure, i);
        if (limb.kind == APLOMB_ARM)
            arms.push_back(limb.upper);
        else
            plan.legs.push_back({limb.upper, limb.lower, limb.end, limb.toe, limb.kind == APLOMB_FORE_LEG,
                                 named_side(figure, turned, limb.upper)});
    }
    if (arms.size() == 2) std::copy(arms.begin(), arms.end(), plan.shoulders);
    for (int32_t j = 0; j < aplomb_figure_joint_count(&figure); ++j)
        if (joint_info(figure, j).role == APLOMB_ROLE_TAIL) plan.tail = j;
    aplomb_figure_info info;
    aplomb_figure_info_init(&info, sizeof info);
    aplomb_figure_describe(&figure, &info, nullptr);
    plan.top = info.head >= 0 ? info.head : info.chest != info.hips ? info.chest : -1;
    if (plan.top >= 0) plan.trunk = {plan.top};
    return plan;
}

} // namespace aplomb::io
