// SPDX-License-Identifier: MIT
#include "figure/cast.h"

#include "figure/branches.h"
#include "figure/words.h"

namespace aplomb {
namespace {

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

} // namespace

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

} // namespace aplomb
