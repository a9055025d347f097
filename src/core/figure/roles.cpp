// SPDX-License-Identifier: MIT
// Which joint is what. Names come first and are checked against the shape; where they say nothing, the shape
// alone decides. The order: legs, then what lies above (head, neck, spine, arms), then the hips where both
// meet, then all the rest.
#include <algorithm>

#include "base/scratch.h"
#include "figure/branches.h"
#include "figure/hints.h"
#include "figure/words.h"

namespace aplomb {
namespace {

/// One leg or arm.
struct Branch {
    int32_t start = -1;
    bool arm = false;
};

constexpr int max_branches = max_limbs;

/// The roles while they are being given out.
struct Cast {
    Draft& draft;
    const Survey& survey;
    Hints& hints;
    Joint* joints;
    Branch branches[max_branches] = {};
    int branch_count = 0;
    int32_t hips = -1, head = -1, top = -1; // top: the head, or the last joint of neck or spine
    int32_t legs = -1;                      // what the legs hang from
    bool head_by_shape = false;             // no name told which joint is the head
    Pair standing[max_branches] = {};       // mirrored branches that reach the ground, from the rear on
    int standing_count = 0;

    void add(int32_t start, bool arm) {
        if (start < 0) return;
        if (branch_count < max_branches)
            branches[branch_count++] = {start, arm};
        else
            draft.remark("Limb '%s' is one more than the %d that a figure can have.", joints[start].name,
                         max_branches);
    }
    bool has(bool arm) const {
        return std::any_of(branches, branches + branch_count,
                           [arm](const Branch& b) { return b.arm == arm; });
    }
    const Branch* branch_of(int32_t joint) const {
        for (int i = 0; i < branch_count; ++i)
            if (survey.is_within(joint, branches[i].start)) return &branches[i];
        return nullptr;
    }
    /// Whether the joint lies in a branch, or a branch lies below it.
    bool is_taken(int32_t joint) const {
        return branch_of(joint) || std::any_of(branches, branches + branch_count, [&](const Branch& b) {
                   return survey.is_within(b.start, joint);
               });
    }
    void drop_branches(bool arm) {
        Branch* end = std::remove_if(branches, branches + branch_count,
                                     [arm](const Branch& b) { return b.arm == arm; });
        branch_count = static_cast<int>(end - branches);
    }
};

bool is_given(const Draft& draft, int32_t joint, aplomb_role role) {
    return draft.desc.roles && draft.desc.roles[joint] == role;
}

/// The first joint with a hint of this role that is in no limb; one that is given before one that is named.
int32_t find_hint(const Cast& cast, aplomb_role role) {
    int32_t found = -1;
    for (int32_t j = 0; j < cast.survey.count; ++j) {
        if (cast.hints.role[j] != role || cast.branch_of(j)) continue;
        if (is_given(cast.draft, j, role)) return j;
        if (found < 0) found = j;
    }
    return found;
}

// ---- Legs and arms: where they start ---------------------------------------------------------------------

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

/// From the joint that the legs hang from, and not ahead of them.
bool hangs_beside_legs(const Cast& cast, const Pair& pair) {
    const Survey& s = cast.survey;
    if (s.parent[pair.left] != cast.legs) return false;
    return std::any_of(cast.branches, cast.branches + cast.branch_count, [&](const Branch& b) {
        return !b.arm && s.parent[b.start] == cast.legs &&
               s.position[pair.left].z - s.position[b.start].z <= legs_apart * s.reach[b.start];
    });
}

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

// ---- Head, neck and spine --------------------------------------------------------------------------------

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

/// `below`: the legs' common joint, or where none is known joint 0.
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

/// What carries the neck or the spine is no arm.
void drop_false_arms(Cast& cast) {
    Branch* end = std::remove_if(cast.branches, cast.branches + cast.branch_count, [&cast](const Branch& b) {
        return cast.survey.is_within(cast.top, b.start);
    });
    cast.branch_count = static_cast<int>(end - cast.branches);
}

aplomb_status check_shape_and_roles(const Cast& cast, aplomb_error* error) {
    const Survey& s = cast.survey;
    if (s.count > 1 && s.reach[0] == 0)
        return fail(error, APLOMB_BAD_FIGURE, "translations", -1,
                    "All %d joints lie at one point; give the translations from parent to joint.", s.count);
    int32_t first = -1;
    for (int32_t j = 0; j < s.count; ++j) {
        if (!is_given(cast.draft, j, APLOMB_ROLE_HIPS)) continue;
        if (first >= 0)
            return fail(error, APLOMB_BAD_FIGURE, "roles", j,
                        "Joints %d (%.64s) and %d (%.64s) both have the role hips; give it to one.", first,
                        cast.joints[first].name, j, cast.joints[j].name);
        first = j;
    }
    return APLOMB_OK;
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

/// Spine from the hips to the chest, then neck, then head. Other joints on that path are helpers: by name, or
/// because they are one with the pelvis, being called so or lying above the legs.
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

// ---- Along the limbs -------------------------------------------------------------------------------------

constexpr int stage_count = 4;
constexpr aplomb_role leg_stages[stage_count] = {APLOMB_ROLE_THIGH, APLOMB_ROLE_SHANK, APLOMB_ROLE_FOOT,
                                                 APLOMB_ROLE_TOE};
constexpr aplomb_role arm_stages[stage_count] = {APLOMB_ROLE_GIRDLE, APLOMB_ROLE_UPPER_ARM,
                                                 APLOMB_ROLE_LOWER_ARM, APLOMB_ROLE_HAND};

int stage_of(aplomb_role role, const aplomb_role* stages) {
    return static_cast<int>(std::find(stages, stages + stage_count, role) - stages);
}

/// Gives each joint of a limb the role that its name says, once, and only in the order from trunk to end.
void cast_named_limb(Cast& cast, const Branch& branch, int32_t* found) {
    const aplomb_role* stages = branch.arm ? arm_stages : leg_stages;
    int reached[max_joints];
    for (int32_t k = 0; k < cast.survey.count; ++k) {
        const int32_t j = cast.survey.order[k];
        if (!cast.survey.is_within(j, branch.start)) continue;
        reached[j] = j == branch.start ? -1 : reached[cast.survey.parent[j]];
        Joint& joint = cast.joints[j];
        joint.role = cast.hints.role[j] == APLOMB_ROLE_PROP ? APLOMB_ROLE_PROP : APLOMB_ROLE_HELPER;
        int stage = stage_of(cast.hints.role[j], stages);
        if (stage == stage_count) continue;
        // A second foot joint below a hock is where the paw bends.
        const bool paw = stages[stage] == APLOMB_ROLE_FOOT && reached[j] == stage &&
                         !cast.survey.coincide(j, found[stage]);
        if (paw) ++stage;
        if (stage <= reached[j]) continue; // a split bone's further joint
        const bool many = stages[stage] == APLOMB_ROLE_TOE;
        if (found[stage] >= 0 && !many) {
            cast.draft.remark("'%s' is named like a %s, but '%s' is it already.", joint.name,
                              role_text(stages[stage]), cast.joints[found[stage]].name);
            continue;
        }
        joint.role = stages[stage];
        reached[j] = stage;
        if (found[stage] < 0) found[stage] = j;
    }
}

void cast_joint(Cast& cast, int32_t joint, aplomb_role role) {
    if (joint >= 0) cast.joints[joint].role = role;
}

void cast_spans(Cast& cast, const Branch& branch, const Spans& spans) {
    cast_joint(cast, spans.girdle, APLOMB_ROLE_GIRDLE);
    cast_joint(cast, spans.upper, branch.arm ? APLOMB_ROLE_UPPER_ARM : APLOMB_ROLE_THIGH);
    cast_joint(cast, spans.lower, branch.arm ? APLOMB_ROLE_LOWER_ARM : APLOMB_ROLE_SHANK);
    cast_joint(cast, spans.end, branch.arm ? APLOMB_ROLE_HAND : APLOMB_ROLE_FOOT);
    cast_joint(cast, spans.toe, APLOMB_ROLE_TOE);
}

/// The next joint below on the longest path, or -1: a hand may be called a palm.
int32_t end_below(const Cast& cast, int32_t joint) {
    for (int32_t j = cast.survey.next[joint]; j >= 0; j = cast.survey.next[j])
        if (!cast.survey.coincide(j, joint)) return cast.hints.role[j] == APLOMB_ROLE_PROP ? -1 : j;
    return -1;
}

/// Fills one gap that the names left: the middle joint, the end, or the first joint.
void fill_gap(const Cast& cast, const Branch& branch, Spans& spans) {
    if (spans.upper >= 0 && spans.end >= 0 && spans.lower < 0)
        spans.lower = find_middle_joint(cast.survey, spans.upper, spans.end);
    if (spans.upper < 0 && spans.lower >= 0 && spans.lower != branch.start)
        spans.upper = cast.survey.parent[spans.lower];
    if (spans.lower >= 0 && spans.end < 0) spans.end = end_below(cast, spans.lower);
}

bool are_complete(const Spans& spans) {
    return spans.upper >= 0 && spans.lower >= 0 && spans.end >= 0;
}

/// Whether a joint between the two lies so far off the line between them that a middle joint was overlooked.
bool bends_between(const Survey& s, int32_t from, int32_t to) {
    constexpr double most_off = 0.15; // of the span's length
    const Vec3 span = s.position[to] - s.position[from];
    const double length = norm(span);
    for (int32_t j = s.parent[to]; j >= 0 && j != from; j = s.parent[j])
        if (norm(cross(s.position[j] - s.position[from], span)) > most_off * length * length) return true;
    return false;
}

/// The side that most of its joints' names say, since files have slips; else the side on which it lies.
aplomb_side side_of_branch(const Cast& cast, const Branch& branch) {
    int lefts = 0, rights = 0;
    for (int32_t j = branch.start; j >= 0; j = cast.survey.next[j]) {
        lefts += cast.hints.side[j] == APLOMB_SIDE_LEFT;
        rights += cast.hints.side[j] == APLOMB_SIDE_RIGHT;
    }
    if (lefts != rights) return lefts > rights ? APLOMB_SIDE_LEFT : APLOMB_SIDE_RIGHT;
    const double aside = cast.survey.far_end[branch.start].x - cast.survey.position[cast.hips].x;
    return aside >= 0 ? APLOMB_SIDE_LEFT : APLOMB_SIDE_RIGHT;
}

void cast_limb(Cast& cast, const Branch& branch) {
    const Survey& s = cast.survey;
    int32_t found[stage_count] = {-1, -1, -1, -1};
    cast_named_limb(cast, branch, found);
    const int first = branch.arm ? 1 : 0; // a girdle comes before the arm's own joints
    Spans named{branch.arm ? found[0] : -1, found[first], found[first + 1], found[first + 2],
                branch.arm ? -1 : found[3]};
    const int known = (named.upper >= 0) + (named.lower >= 0) + (named.end >= 0);
    if (known > 1 || (known == 1 && named.upper != branch.start)) fill_gap(cast, branch, named);
    const Spans shape = branch.arm ? find_arm_spans(s, branch.start) : find_leg_spans(s, branch.start);
    const bool believed = are_complete(named) && !bends_between(s, named.upper, named.lower) &&
                          !bends_between(s, named.lower, named.end);
    if (!believed && are_complete(shape)) {
        for (int32_t j = 0; j < s.count; ++j)
            if (s.is_within(j, branch.start) && cast.joints[j].role != APLOMB_ROLE_PROP)
                cast.joints[j].role = APLOMB_ROLE_HELPER;
        cast_spans(cast, branch, shape);
    } else {
        cast_spans(cast, branch, named);
        // A toe by a name that says nothing.
        if (!branch.arm && named.toe < 0 && shape.end == named.end && shape.toe >= 0 &&
            cast.hints.role[shape.toe] == APLOMB_ROLE_FROM_NAME)
            cast_joint(cast, shape.toe, APLOMB_ROLE_TOE);
    }
    const aplomb_side side = side_of_branch(cast, branch);
    for (int32_t j = 0; j < cast.survey.count; ++j)
        if (cast.survey.is_within(j, branch.start)) cast.joints[j].side = side;
}

// ---- The rest --------------------------------------------------------------------------------------------

void cast_rest(Cast& cast) {
    for (int32_t j = 0; j < cast.survey.count; ++j) {
        Joint& joint = cast.joints[j];
        if (joint.role == APLOMB_ROLE_FROM_NAME) {
            const aplomb_role hint = cast.hints.role[j];
            const bool keeps = hint == APLOMB_ROLE_TAIL || hint == APLOMB_ROLE_PROP;
            joint.role = keeps ? hint : APLOMB_ROLE_HELPER;
            if (!keeps && (hint == APLOMB_ROLE_FROM_NAME || hint == APLOMB_ROLE_SPINE) && joint.parent >= 0 &&
                cast.joints[joint.parent].role == APLOMB_ROLE_TAIL)
                joint.role = APLOMB_ROLE_TAIL;
        }
        if (joint.side == APLOMB_SIDE_FROM_NAME)
            joint.side =
                cast.hints.side[j] == APLOMB_SIDE_FROM_NAME ? APLOMB_SIDE_MIDDLE : cast.hints.side[j];
    }
}

/// A nameless branch that leads back from the hips is a tail; where others hang in front, too, it is cloth.
void cast_tail(Cast& cast) {
    constexpr double least_tail = 0.1; // of the height
    const Survey& s = cast.survey;
    for (int32_t j = cast.hips + 1; j < s.count; ++j)
        if (s.parent[j] == cast.hips && cast.joints[j].role == APLOMB_ROLE_FROM_NAME && s.next[j] >= 0 &&
            s.far_end[j].y < s.position[cast.hips].y &&
            s.far_end[j].z - s.position[cast.hips].z > least_tail * s.height)
            return;
    for (int32_t j = cast.hips + 1; j < s.count; ++j) {
        const bool unnamed =
            cast.hints.role[j] == APLOMB_ROLE_FROM_NAME || cast.hints.role[j] == APLOMB_ROLE_SPINE;
        if (s.parent[j] != cast.hips || cast.joints[j].role != APLOMB_ROLE_FROM_NAME || !unnamed) continue;
        const Vec3 away = s.far_end[j] - s.position[cast.hips];
        if (s.next[j] >= 0 && -away.z > least_tail * s.height && std::fabs(away.x) < -0.3 * away.z)
            cast.joints[j].role = APLOMB_ROLE_TAIL;
    }
}

void take_given(Cast& cast) {
    const aplomb_figure_desc& desc = cast.draft.desc;
    for (int32_t j = 0; j < cast.survey.count; ++j) {
        if (desc.roles && desc.roles[j] != APLOMB_ROLE_FROM_NAME)
            cast.joints[j].role = static_cast<aplomb_role>(desc.roles[j]);
        if (desc.sides && desc.sides[j] != APLOMB_SIDE_FROM_NAME)
            cast.joints[j].side = static_cast<aplomb_side>(desc.sides[j]);
    }
}

void list_lean_joints(Cast& cast) {
    Figure& figure = cast.draft.figure;
    figure.hips = figure.chest = cast.hips;
    figure.head = -1;
    for (int32_t j = 0; j < cast.survey.count; ++j) {
        if (!cast.survey.is_within(j, cast.hips)) continue;
        const aplomb_role role = figure.joints[j].role;
        if (role == APLOMB_ROLE_HEAD && figure.head < 0) figure.head = j;
        if (role != APLOMB_ROLE_SPINE && role != APLOMB_ROLE_NECK) continue;
        const bool spine = role == APLOMB_ROLE_SPINE;
        int32_t& count = spine ? figure.spine_count : figure.neck_count;
        if (count == max_lean_joints) {
            cast.draft.remark("'%s' is one %s joint more than the %d that a figure can have.",
                              figure.joints[j].name, role_text(role), max_lean_joints);
            figure.joints[j].role = APLOMB_ROLE_HELPER;
            continue;
        }
        (spine ? figure.spine : figure.neck)[count++] = {j, {}};
        if (spine) figure.chest = j;
    }
}

// ---- Remarks ---------------------------------------------------------------------------------------------

void remark_missing(Cast& cast) {
    Draft& draft = cast.draft;
    if (draft.figure.head < 0) draft.remark("No head was found.");
    if (draft.figure.spine_count == 0)
        draft.remark("No spine joint was found above '%s'.", cast.joints[cast.hips].name);
    if (!cast.has(false)) draft.remark("No legs were found.");
    if (!cast.has(true)) draft.remark("No arms were found.");
}

void remark_twice(Cast& cast) {
    constexpr aplomb_role single[] = {APLOMB_ROLE_HIPS, APLOMB_ROLE_HEAD};
    for (const aplomb_role role : single) {
        const int32_t kept = role == APLOMB_ROLE_HIPS ? cast.hips : cast.draft.figure.head;
        for (int32_t j = 0; kept >= 0 && j < cast.survey.count; ++j) {
            if (j == kept || cast.hints.role[j] != role) continue;
            cast.draft.remark("'%s' is named like the %s; '%s' is taken for it.", cast.joints[j].name,
                              role_text(role), cast.joints[kept].name);
        }
    }
}

void remark_on_shape(Cast& cast) {
    const Survey& s = cast.survey;
    const Figure& figure = cast.draft.figure;
    if (figure.head >= 0) {
        const Vec3 up = s.position[figure.head] - s.position[cast.hips];
        if (up.y < 0.1 * s.height && up.z < 0.1 * s.height)
            cast.draft.remark(
                "The head '%s' is neither above nor before the hips: check up_axis and forward_axis.",
                cast.joints[figure.head].name);
    }
    const bool carries_leg =
        std::any_of(cast.branches, cast.branches + cast.branch_count,
                    [&](const Branch& b) { return !b.arm && s.is_within(b.start, cast.hips); });
    if (cast.has(false) && !carries_leg)
        cast.draft.remark("No leg hangs from the hips '%s': check the roles.", cast.joints[cast.hips].name);
    for (int i = 0; i < cast.branch_count; ++i) {
        const int32_t start = cast.branches[i].start;
        const double aside = s.far_end[start].x - s.position[cast.hips].x;
        const double wrong = cast.joints[start].side == APLOMB_SIDE_LEFT ? -aside : aside;
        if (wrong < 0.02 * s.height || cast.joints[start].side == APLOMB_SIDE_MIDDLE) continue;
        cast.draft.remark("'%s' is called %s but lies on the other side: check forward_axis.",
                          cast.joints[start].name, side_text(cast.joints[start].side));
        return;
    }
}

void cast_roles(Cast& cast) {
    for (int32_t j = 0; j < cast.survey.count; ++j) {
        cast.joints[j].role = APLOMB_ROLE_FROM_NAME;
        cast.joints[j].side = APLOMB_SIDE_FROM_NAME;
    }
    cast_trunk(cast);
    for (int i = 0; i < cast.branch_count; ++i)
        cast_limb(cast, cast.branches[i]);
    cast_tail(cast);
    cast_rest(cast);
    take_given(cast);
    list_lean_joints(cast);
}

/// A branch in which every joint is called a helper or a prop is no part of the body.
void forget_controls(const Hints& hints, Survey& s) {
    bool named[max_joints];
    for (int32_t j = 0; j < s.count; ++j)
        named[j] = hints.role[j] != APLOMB_ROLE_HELPER && hints.role[j] != APLOMB_ROLE_PROP;
    for (int32_t k = s.count - 1; k >= 0; --k) {
        const int32_t j = s.order[k];
        if (named[j] && s.parent[j] >= 0) named[s.parent[j]] = true;
        s.has_body[j] = s.has_body[j] && named[j];
    }
}

} // namespace

aplomb_status find_roles(Draft& draft, aplomb_error* error) {
    ScratchObject<Survey> survey(draft.figure.allocator);
    if (!survey) return ScratchObject<Survey>::refused(error);
    ScratchObject<Hints> hints(draft.figure.allocator);
    if (!hints) return ScratchObject<Hints>::refused(error);
    take_survey(draft, *survey);
    read_hints(draft, *survey, *hints);
    forget_controls(*hints, *survey);
    Cast cast = {draft, *survey, *hints, draft.figure.joints};
    if (const auto s = check_shape_and_roles(cast, error)) return s;

    cast.standing_count = find_standing_pairs(draft, *survey, cast.standing, max_branches);
    find_legs(cast);
    cast.legs = legs_ancestor(cast);
    const int32_t below = cast.legs >= 0 ? cast.legs : 0;
    find_arms(cast, below);
    find_top(cast, below);
    drop_false_arms(cast);
    find_hips(cast);
    if (cast.hips < 0)
        return fail(
            error, APLOMB_BAD_FIGURE, "names", -1,
            "No hips were found among %d joints: no name says so and no pair of branches below '%s' reaches "
            "the ground. Give their role in roles.",
            draft.figure.joint_count, draft.figure.joints[0].name);

    cast_roles(cast);
    remark_missing(cast);
    remark_twice(cast);
    remark_on_shape(cast);
    return APLOMB_OK;
}

} // namespace aplomb
