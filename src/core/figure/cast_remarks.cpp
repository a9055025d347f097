// SPDX-License-Identifier: MIT
#include "figure/cast.h"

#include "figure/words.h"

namespace aplomb {
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

} // namespace aplomb
