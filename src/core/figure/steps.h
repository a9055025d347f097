// SPDX-License-Identifier: MIT
// The steps of build_figure, in their order. Each fills its part of the figure and remarks on what it had to
// guess. Only build.cpp and the steps' own files include this.
#pragma once

#include <cstdarg>

#include "base/block.h"
#include "figure/figure.h"

namespace aplomb {

/// A figure in the making. The joints hold parent, name, rest transform (metres, anatomical axes) already.
struct Draft {
    Figure& figure;
    const aplomb_figure_desc& desc;
    const Placement* rest; // world placement of every joint in the rest pose
    const bool* has_tip;   // the description gave a tip for this joint

    /// Adds a remark; kept up to a fixed room, the last one then says that there were more.
    [[gnu::format(printf, 2, 3)]] void remark(const char* format, ...);
    /// The same for a remark on what makes the figure itself doubtful.
    [[gnu::format(printf, 3, 4)]] void doubt(aplomb_doubt kind, const char* format, ...);
    [[gnu::format(printf, 3, 0)]] void add_remark(aplomb_doubt kind, const char* format, va_list values);

    char* remark_text = nullptr; // room for remark_room bytes
    size_t remark_room = 0, remark_used = 0;
    int32_t remark_capacity = 0;
};

/// Significant digits of a mass in a sentence: three, or to the kilogram, never as a power of ten.
inline int mass_digits(double kg) {
    int digits = 3;
    for (; kg >= 999.5 && digits < 15; kg /= 10)
        ++digits;
    return digits;
}

/// Where a joint is in the anatomical neutral.
inline Placement neutral_placement(const Joint& joint) {
    return {joint.neutral_position, joint.neutral};
}
inline Vec3 to_local(const Placement& placement, const Vec3& world) {
    return rotate(conjugate(placement.rotation), world - placement.position);
}
/// Whether `joint` is `above` or is carried by it.
inline bool is_within(const Figure& figure, int32_t joint, int32_t above) {
    while (joint >= 0 && joint != above)
        joint = figure.joints[joint].carrier;
    return joint == above;
}

/// carriers.cpp: whose segment each joint belongs to, and the order that follows.
aplomb_status find_carriers(Draft& draft, aplomb_error* error);
/// roles.cpp: role and side of every joint, from what the description gives, the names, the H-Anim names of
/// ISO/IEC 19774-1, topology and shape; then hips, chest, head, and the joints of spine and neck (without
/// shares).
aplomb_status find_roles(Draft& draft, aplomb_error* error);
/// limbs.cpp: legs, arms and fore legs with upper, lower, end and toe.
aplomb_status find_limbs(Draft& draft, aplomb_error* error);
/// neutral.cpp: the anatomical neutral (upright, limbs hanging, toes forward), hinges, stature, leg length;
/// mesh_soles.cpp: sole points of the feet whose skin shows them, since they tell where the ground is.
aplomb_status build_neutral(Draft& draft, aplomb_error* error);
/// mesh_front.cpp: how far the skin of trunk and thighs is ahead of their axes, and that of legs outside of theirs.
void find_front(Draft& draft);
/// mass.cpp: segment masses, centres and inertias, explicit or from the published tables.
aplomb_status share_mass(Draft& draft, aplomb_error* error);
/// trunk.cpp: what part of the trunk's bend each spine and neck joint takes, by its length.
void share_trunk(Draft& draft);
/// limits.cpp: joint limits by role from published ranges of motion, or as given.
aplomb_status set_limits(Draft& draft, aplomb_error* error);
/// doubts.cpp: remarks on a size, mass or proportion that no figure has, and on whether it can stand.
void find_doubts(Draft& draft);
/// soles.cpp: the other soles and palms from joints and handbook proportions, or as given.
aplomb_status set_soles(Draft& draft, aplomb_error* error);
/// sound.cpp: last, the check that every number came out finite.
aplomb_status check_sound(const Draft& draft, aplomb_error* error);

} // namespace aplomb
