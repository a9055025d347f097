// SPDX-License-Identifier: MIT
#include "figure/cast.h"

namespace aplomb {
namespace {

/// The deepest joint that an arm hangs from, or -1.
int32_t deepest_shoulder(const Cast& cast) {
    int32_t deepest = -1;
    for (int i = 0; i < cast.branch_count; ++i) {
        if (!cast.branches[i].arm) continue;
        const int32_t joint = cast.survey.parent[cast.branches[i].start];
        if (deepest < 0 || cast.survey.is_within(joint, deepest)) deepest = joint;
    }
    return deepest;
}

/// How far what a joint carries rises over the joint itself.
double rise_above(const Survey& s, int32_t joint, const Vec3& along) {
    double most = 0;
    for (int32_t j = joint + 1; j < s.count; ++j)
        if (s.is_within(j, joint)) most = std::max(most, dot(s.position[j] - s.position[joint], along));
    return most;
}

/// The child of `from` that leads on up (or for a trunk that lies, on forward), limbs and
/// other pairs (eyes, ears) left out; or -1. `hairy`: it may end in what hangs down, as long as something on it is higher.
int32_t upward_child(const Cast& cast, int32_t from, const Vec3& along, bool hairy) {
    const Survey& s = cast.survey;
    int32_t best = -1;
    double best_rise = 0;
    const auto is_paired = [&](int32_t j) {
        for (int32_t k = from + 1; k < s.count; ++k)
            if (k != j && s.are_mirrored(j, k)) return true;
        return false;
    };
    for (int32_t j = from + 1; j < s.count; ++j) {
        if (s.parent[j] != from || !s.has_body[j] || cast.branch_of(j) ||
            cast.hints.role[j] == APLOMB_ROLE_HELPER || cast.hints.role[j] == APLOMB_ROLE_TAIL ||
            is_paired(j))
            continue;
        const double rise = hairy ? dot(s.position[j] - s.position[from], along)
                                  : dot(s.far_end[j] - s.position[from], along);
        if (rise > best_rise && (!hairy || rise_above(s, j, along) > 0)) best = j, best_rise = rise;
    }
    return best;
}

/// The last joint up from `from` by shape: where the face branches off, or the chain ends.
int32_t top_by_shape(const Cast& cast, int32_t from, int32_t below) {
    constexpr int face = 3; // children
    const Survey& s = cast.survey;
    const Vec3 trunk = s.position[from] - s.position[below];
    const double length = norm(trunk);
    const Vec3 along = Vec3{0, 1, 0} + (length > 0 ? trunk / length : Vec3{});
    // Above the arms a neck and a head are looked for; the longest way from there may be hair's.
    constexpr int neck_and_head = 2;
    int32_t top = from;
    for (int steps = 0;; ++steps) {
        int32_t j = upward_child(cast, top, along, false);
        if (j < 0 && steps < neck_and_head) j = upward_child(cast, top, along, true);
        if (j < 0) break;
        top = j;
        if (s.child_count(j) >= face && j != from) break;
    }
    // A last joint further off than the neck is long marks the crown; the head is the one before it.
    const int32_t before = s.parent[top];
    if (top != from && before != from && before >= 0 && s.next[top] < 0 && !cast.draft.has_tip[top] &&
        norm(s.position[top] - s.position[before]) > norm(s.position[before] - s.position[s.parent[before]]))
        return before;
    return top;
}

/// The deepest joint whose name hints at the role.
int32_t deepest_hint(const Cast& cast, aplomb_role role) {
    int32_t deepest = find_hint(cast, role);
    for (int32_t j = deepest + 1; deepest >= 0 && j < cast.survey.count; ++j)
        if (cast.hints.role[j] == role && cast.survey.is_within(j, deepest)) deepest = j;
    return deepest;
}

} // namespace

void find_top(Cast& cast, int32_t below) {
    cast.head = cast.top = find_hint(cast, APLOMB_ROLE_HEAD);
    if (cast.head >= 0) return;
    cast.top = deepest_hint(cast, APLOMB_ROLE_NECK);
    const int32_t shoulder = deepest_shoulder(cast);
    if (cast.top < 0) {
        cast.top = deepest_hint(cast, APLOMB_ROLE_SPINE);
        // The joints of a tail may be called spine, too.
        if (shoulder >= 0 && !cast.survey.is_within(cast.top, shoulder)) cast.top = -1;
    }
    if (cast.top < 0 || (shoulder >= 0 && cast.survey.is_within(shoulder, cast.top)))
        cast.top = shoulder >= 0 ? shoulder : below;
    // Where all of the trunk is called spine, neck and head are what lies beyond the arms.
    const bool all_spine = shoulder >= 0 && cast.top != shoulder &&
                           cast.hints.role[cast.top] == APLOMB_ROLE_SPINE &&
                           deepest_hint(cast, APLOMB_ROLE_NECK) < 0;
    if (all_spine) cast.top = shoulder;
    const int32_t shape = top_by_shape(cast, cast.top, below);
    cast.head_by_shape = shape != cast.top;
    if (cast.head_by_shape) cast.head = cast.top = shape;
}

void drop_false_arms(Cast& cast) {
    Branch* end = std::remove_if(cast.branches, cast.branches + cast.branch_count, [&cast](const Branch& b) {
        return cast.survey.is_within(cast.top, b.start);
    });
    cast.branch_count = static_cast<int>(end - cast.branches);
}

void find_hips(Cast& cast) {
    for (int32_t j = 0; j < cast.survey.count; ++j) {
        if (!is_given(cast.draft, j, APLOMB_ROLE_HIPS)) continue;
        cast.hips = j;
        return;
    }
    if (cast.legs < 0) {
        cast.hips = find_hint(cast, APLOMB_ROLE_HIPS);
        return;
    }
    cast.hips = cast.survey.common_ancestor(cast.legs, cast.top);
    // A joint above that is called a part of the trunk and carries all of it is the pelvis: a tail may hang from it, too.
    for (int32_t above = cast.survey.parent[cast.hips]; above >= 0; above = cast.survey.parent[above]) {
        const aplomb_role hint = cast.hints.role[above];
        if (hint != APLOMB_ROLE_HIPS && hint != APLOMB_ROLE_SPINE) break;
        cast.hips = above;
    }
}

void cast_trunk(Cast& cast) {
    Joint* joints = cast.joints;
    for (int32_t j = cast.survey.parent[cast.hips]; j >= 0; j = cast.survey.parent[j])
        joints[j].role = APLOMB_ROLE_ROOT;
    joints[cast.hips].role = APLOMB_ROLE_HIPS;
    if (cast.top < 0 || !cast.survey.is_within(cast.top, cast.hips)) return;
    const int32_t shoulder = deepest_shoulder(cast);
    int32_t neck = -1; // the lowest joint of the neck: by name, else the first above the arms
    bool named = false;
    for (int32_t j = cast.top; j != cast.hips; j = cast.survey.parent[j]) {
        const bool is_neck = cast.hints.role[j] == APLOMB_ROLE_NECK;
        named = named || is_neck;
        if (is_neck || (!named && shoulder >= 0 && j > shoulder && cast.survey.is_within(j, shoulder)))
            neck = j;
    }
    for (int32_t j = cast.top; j != cast.hips; j = cast.survey.parent[j]) {
        const aplomb_role hint = cast.hints.role[j];
        const bool rides = hint == APLOMB_ROLE_HELPER || hint == APLOMB_ROLE_PROP;
        const bool in_neck = neck >= 0 && j >= neck && (hint != APLOMB_ROLE_SPINE || cast.head_by_shape);
        const bool in_pelvis =
            hint == APLOMB_ROLE_HIPS || (cast.legs >= 0 && cast.survey.is_within(cast.legs, j));
        joints[j].role = rides       ? hint
                         : in_pelvis ? APLOMB_ROLE_HELPER
                         : in_neck   ? APLOMB_ROLE_NECK
                                     : APLOMB_ROLE_SPINE;
    }
    if (cast.head >= 0 && cast.head != cast.hips) joints[cast.head].role = APLOMB_ROLE_HEAD;
}

} // namespace aplomb
