// SPDX-License-Identifier: MIT
#include "figure/cast.h"

#include "figure/branches.h"

namespace aplomb {
namespace {

void add_named_branches(Cast& cast, bool arm) {
    for (int32_t k = 1; k < cast.survey.count; ++k) {
        const int32_t j = cast.survey.order[k];
        const aplomb_role role = cast.hints.role[j];
        const bool starts =
            arm ? role == APLOMB_ROLE_GIRDLE || role == APLOMB_ROLE_UPPER_ARM : role == APLOMB_ROLE_THIGH;
        if (starts && !cast.branch_of(j)) cast.add(j, arm);
    }
}

/// Where the names of one side say nothing: the branch that mirrors a named one.
void add_mirrored_branches(Cast& cast, bool arm) {
    const Survey& s = cast.survey;
    const int count = cast.branch_count;
    for (int i = 0; i < count; ++i) {
        const int32_t start = cast.branches[i].start;
        if (cast.branches[i].arm != arm) continue;
        const bool has_partner = std::any_of(cast.branches, cast.branches + count, [&](const Branch& b) {
            return b.arm == arm && b.start != start && cast.hints.side[b.start] != cast.hints.side[start];
        });
        for (int32_t j = 1; j < s.count && !has_partner; ++j)
            if (s.has_body[j] && !cast.is_taken(j) && s.are_mirrored(start, j)) cast.add(j, arm);
    }
}

constexpr double legs_apart = 0.25; // of the leg's reach, lengthwise: fore legs are as far ahead

/// Where four legs are called legs, the front ones are fore legs.
void turn_front_legs_into_fore_legs(Cast& cast) {
    const Survey& s = cast.survey;
    double rear = 1e300;
    for (int i = 0; i < cast.branch_count; ++i)
        if (!cast.branches[i].arm) rear = std::min(rear, s.position[cast.branches[i].start].z);
    int behind = 0, ahead = 0;
    const auto is_ahead = [&](const Branch& b) {
        return !b.arm && s.position[b.start].z - rear > legs_apart * s.reach[b.start];
    };
    for (int i = 0; i < cast.branch_count; ++i) {
        if (cast.branches[i].arm) continue;
        ++(is_ahead(cast.branches[i]) ? ahead : behind);
    }
    if (behind < 2 || ahead < 2) return;
    for (int i = 0; i < cast.branch_count; ++i)
        if (is_ahead(cast.branches[i])) cast.branches[i].arm = true;
}

} // namespace

void find_legs(Cast& cast) {
    constexpr double sitting = 0.35; // of the height: how far down a branch with a leg's name has to reach
    const Survey& s = cast.survey;
    add_named_branches(cast, false);
    const bool any_stands =
        std::any_of(cast.branches, cast.branches + cast.branch_count,
                    [&s](const Branch& b) { return s.lowest[b.start] < s.floor + sitting * s.height; });
    if (any_stands) {
        turn_front_legs_into_fore_legs(cast);
        add_mirrored_branches(cast, false);
        return;
    }
    if (cast.standing_count == 0) return;
    const Pair& pair = cast.standing[0];
    if (cast.has(false))
        cast.draft.remark(
            "The legs' names ('%s') are not believed: in the rest pose others reach the ground.",
            cast.joints[cast.branches[0].start].name);
    cast.drop_branches(false);
    cast.add(pair.left, false);
    cast.add(pair.right, false);
}

int32_t legs_ancestor(const Cast& cast) {
    int32_t joint = -1;
    for (int i = 0; i < cast.branch_count; ++i)
        if (!cast.branches[i].arm) joint = cast.survey.common_ancestor(joint, cast.branches[i].start);
    // One leg alone: what it hangs from.
    for (int i = 0; i < cast.branch_count; ++i)
        if (cast.branches[i].start == joint) return cast.survey.parent[joint];
    return joint;
}

namespace {

/// From the joint that the legs hang from, and not ahead of them.
bool hangs_beside_legs(const Cast& cast, const Pair& pair) {
    const Survey& s = cast.survey;
    if (s.parent[pair.left] != cast.legs) return false;
    return std::any_of(cast.branches, cast.branches + cast.branch_count, [&](const Branch& b) {
        return !b.arm && s.parent[b.start] == cast.legs &&
               s.position[pair.left].z - s.position[b.start].z <= legs_apart * s.reach[b.start];
    });
}

} // namespace

void find_arms(Cast& cast, int32_t below) {
    add_named_branches(cast, true);
    const bool named = cast.has(true);
    // Whatever else reaches the ground in pairs is a fore leg; beside the legs, it is cloth.
    for (int i = 0; i < cast.standing_count; ++i) {
        const Pair& pair = cast.standing[i];
        if (cast.is_taken(pair.left) || cast.is_taken(pair.right)) continue;
        if (hangs_beside_legs(cast, pair)) continue;
        cast.add(pair.left, true);
        cast.add(pair.right, true);
    }
    add_mirrored_branches(cast, true);
    if (named) return;
    Pair legs, pairs[max_branches];
    for (int i = 0, seen = 0; i < cast.branch_count; ++i)
        if (!cast.branches[i].arm) (seen++ == 0 ? legs.left : legs.right) = cast.branches[i].start;
    const int count = find_arm_pairs(cast.draft, cast.survey, below, legs, pairs, max_branches);
    for (int i = 0; i < count; ++i) {
        if (cast.is_taken(pairs[i].left) || cast.is_taken(pairs[i].right)) continue;
        cast.add(pairs[i].left, true);
        cast.add(pairs[i].right, true);
    }
}

} // namespace aplomb
