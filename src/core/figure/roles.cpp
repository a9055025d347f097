// SPDX-License-Identifier: MIT
// Which joint is what. Names come first and are checked against the shape; where they say nothing, the shape
// alone decides. The order: legs, then what lies above (head, neck, spine, arms), then the hips where both
// meet, then all the rest.
#include "base/scratch.h"
#include "figure/branches.h"
#include "figure/cast.h"
#include "figure/words.h"

namespace aplomb {

bool is_given(const Draft& draft, int32_t joint, aplomb_role role) {
    return draft.desc.roles && draft.desc.roles[joint] == role;
}

int32_t find_hint(const Cast& cast, aplomb_role role) {
    int32_t found = -1;
    for (int32_t j = 0; j < cast.survey.count; ++j) {
        if (cast.hints.role[j] != role || cast.branch_of(j)) continue;
        if (is_given(cast.draft, j, role)) return j;
        if (found < 0) found = j;
    }
    return found;
}

namespace {

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
