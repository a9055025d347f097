// SPDX-License-Identifier: MIT
// A rest pose that is finite may still be impossible to measure: joints that all lie at one place, sizes whose cubes
// overflow. A figure with such a number is refused here, before a pose of it can seem to be in balance.
#include <cmath>

#include "base/error.h"
#include "figure/steps.h"

namespace aplomb {
namespace {

bool is_finite(const Vec3& v) {
    return std::isfinite(v.x) && std::isfinite(v.y) && std::isfinite(v.z);
}

bool is_finite(const Quat& q) {
    return is_finite(q.vec()) && std::isfinite(q.w);
}

bool is_finite(const Joint& joint) {
    const Inertia& i = joint.inertia;
    return std::isfinite(joint.mass) && is_finite(joint.centre) && is_finite(Vec3{i.xx, i.yy, i.zz}) &&
           is_finite(Vec3{i.xy, i.xz, i.yz}) && is_finite(joint.neutral) && is_finite(joint.neutral_position);
}

bool is_finite(const Sole& sole) {
    bool finite = std::isfinite(sole.length) && std::isfinite(sole.breadth) && is_finite(sole.heel) &&
                  is_finite(sole.tip);
    for (int i = 0; i < sole.point_count; ++i)
        finite = finite && is_finite(sole.points[i].position);
    return finite;
}

aplomb_status refuse(const Figure& figure, const char* what, int32_t joint, aplomb_error* error) {
    return fail(error, APLOMB_BAD_FIGURE, "translations", joint,
                "The rest pose gives joint %d (%.64s) no finite %s: a translation or tip near it is next to "
                "nothing, or far too large.",
                joint, figure.joints[joint].name, what);
}

} // namespace

aplomb_status check_sound(const Draft& draft, aplomb_error* error) {
    const Figure& figure = draft.figure;
    for (int32_t i = 0; i < figure.limb_count; ++i) {
        const Limb& limb = figure.limbs[i];
        if (!is_finite(limb.sole)) return refuse(figure, "sole", limb.end, error);
        if (!is_finite(limb.hinge) || !is_finite(limb.palm) || !std::isfinite(limb.length))
            return refuse(figure, "limb", limb.upper, error);
    }
    for (int32_t j = 0; j < figure.joint_count; ++j) {
        if (!is_finite(figure.joints[j])) return refuse(figure, "segment", j, error);
    }
    const double sum = figure.total_mass + figure.stature + figure.leg_length + figure.sole_length;
    return std::isfinite(sum) ? APLOMB_OK : refuse(figure, "size", figure.hips, error);
}

} // namespace aplomb
