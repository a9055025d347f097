// SPDX-License-Identifier: MIT
// Legs, arms and fore legs, from the roles of the joints.
#include "base/scratch.h"
#include "figure/survey.h"

namespace aplomb {
namespace {

/// The first joint of a role below another, or -1.
int32_t first_below(const Survey& survey, const Joint* joints, int32_t above, aplomb_role role) {
    for (int32_t k = 0; k < survey.count; ++k) {
        const int32_t j = survey.order[k];
        if (j != above && joints[j].role == role && survey.is_within(j, above)) return j;
    }
    return -1;
}

/// The toe that reaches furthest; of several that reach alike, the middle one.
int32_t choose_toe(const Survey& survey, const Joint* joints, int32_t end) {
    constexpr double alike = 0.95;
    const auto is_toe = [&](int32_t j) {
        return joints[j].role == APLOMB_ROLE_TOE && survey.is_within(j, end);
    };
    const auto reach = [&](int32_t j) {
        return norm(survey.position[j] - survey.position[end]) + survey.reach[j];
    };
    double longest = 0;
    for (int32_t j = 0; j < survey.count; ++j)
        if (is_toe(j)) longest = reach(j) > longest ? reach(j) : longest;
    int32_t candidates[max_joints];
    int count = 0;
    for (int32_t j = 0; j < survey.count; ++j)
        if (is_toe(j) && reach(j) >= alike * longest) candidates[count++] = j;
    return count == 0 ? -1 : candidates[(count - 1) / 2];
}

/// The middle of the places where the legs start; the hips where there are no legs.
Vec3 start_of_legs(const Draft& draft, const Survey& survey) {
    Vec3 sum;
    int count = 0;
    for (int32_t i = 0; i < draft.figure.limb_count; ++i) {
        if (draft.figure.limbs[i].kind != APLOMB_LEG) continue;
        sum += survey.position[draft.figure.limbs[i].upper];
        ++count;
    }
    return count > 0 ? sum / count : survey.position[draft.figure.hips];
}

/// A fore leg ends near the ground under a trunk that is nearer level than upright.
bool is_fore_leg(const Draft& draft, const Survey& survey, const Limb& limb) {
    constexpr double near_ground = 0.25; // of the limb's length, for the wrist of a walking paw
    Vec3 trunk = survey.position[limb.upper] - start_of_legs(draft, survey);
    trunk.x = 0;
    return survey.lowest[limb.end] < survey.floor + near_ground * limb.length &&
           std::fabs(trunk.y) < std::fabs(trunk.z);
}

/// The names of a fore leg are those of an arm and a hand; what it stands on is the next joint below the hand.
int32_t paw_below(Draft& draft, const Survey& survey, int32_t end) {
    const int32_t paw = survey.next[end];
    if (paw < 0 || survey.coincide(paw, end) || !survey.has_body[paw]) return -1;
    const bool is_mark = survey.next[paw] < 0 && !draft.has_tip[paw] && !draft.desc.skin; // of the hand's end
    if (is_mark) return -1;
    draft.figure.joints[paw].role = APLOMB_ROLE_TOE;
    return paw;
}

void add_limb(Draft& draft, const Survey& survey, int32_t upper, bool leg) {
    Figure& figure = draft.figure;
    const Joint* joints = figure.joints;
    Limb limb;
    limb.upper = upper;
    limb.side = joints[upper].side;
    limb.lower = first_below(survey, joints, upper, leg ? APLOMB_ROLE_SHANK : APLOMB_ROLE_LOWER_ARM);
    if (limb.lower >= 0)
        limb.end = first_below(survey, joints, limb.lower, leg ? APLOMB_ROLE_FOOT : APLOMB_ROLE_HAND);
    if (limb.end < 0) {
        draft.remark("The %s from '%s' on is left out: it has no %s.", leg ? "leg" : "arm",
                     joints[upper].name,
                     limb.lower < 0 ? (leg ? "knee" : "elbow") : (leg ? "ankle" : "wrist"));
        return;
    }
    const double first = norm(survey.position[limb.lower] - survey.position[upper]);
    const double second = norm(survey.position[limb.end] - survey.position[limb.lower]);
    if (first < 1e-6 * survey.height || second < 1e-6 * survey.height) {
        draft.remark("The %s from '%s' on is left out: a span has no length.", leg ? "leg" : "arm",
                     joints[upper].name);
        return;
    }
    if (figure.limb_count == max_limbs) {
        draft.remark("The limb from '%s' on is left out: a figure has at most %d.", joints[upper].name,
                     max_limbs);
        return;
    }
    limb.length = first + second;
    limb.kind = leg ? APLOMB_LEG : is_fore_leg(draft, survey, limb) ? APLOMB_FORE_LEG : APLOMB_ARM;
    limb.toe = limb.kind != APLOMB_ARM ? choose_toe(survey, joints, limb.end) : -1;
    if (limb.kind == APLOMB_FORE_LEG && limb.toe < 0) limb.toe = paw_below(draft, survey, limb.end);
    figure.limbs[figure.limb_count++] = limb;
}

/// A limb on one side only: the figure is made so, or the limb on the other side was not recognised.
void remark_on_lone_limbs(Draft& draft) {
    const Figure& figure = draft.figure;
    constexpr bool kinds[] = {true, false};
    for (const bool leg : kinds) {
        int left = 0, right = 0;
        for (int32_t i = 0; i < figure.limb_count; ++i) {
            if ((figure.limbs[i].kind == APLOMB_LEG) != leg) continue;
            left += figure.limbs[i].side == APLOMB_SIDE_LEFT;
            right += figure.limbs[i].side == APLOMB_SIDE_RIGHT;
        }
        if ((left == 0) == (right == 0)) continue;
        draft.remark("No %s %s was found: where there is one, give its joints their roles.",
                     left == 0 ? "left" : "right", leg ? "leg" : "arm");
    }
}

} // namespace

aplomb_status find_limbs(Draft& draft, aplomb_error* error) {
    ScratchObject<Survey> scratch(draft.figure.allocator);
    if (!scratch) return ScratchObject<Survey>::refused(error);
    Survey& survey = *scratch;
    take_survey(draft, survey);
    draft.figure.limb_count = 0;
    constexpr aplomb_role firsts[] = {APLOMB_ROLE_THIGH, APLOMB_ROLE_UPPER_ARM};
    constexpr aplomb_side sides[] = {APLOMB_SIDE_LEFT, APLOMB_SIDE_RIGHT, APLOMB_SIDE_MIDDLE};
    for (const aplomb_role role : firsts)
        for (const aplomb_side side : sides)
            for (int32_t j = 0; j < survey.count; ++j)
                if (draft.figure.joints[j].role == role && draft.figure.joints[j].side == side)
                    add_limb(draft, survey, j, role == APLOMB_ROLE_THIGH);
    remark_on_lone_limbs(draft);
    return APLOMB_OK;
}

} // namespace aplomb
