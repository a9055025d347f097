// SPDX-License-Identifier: MIT
#include "figure/frame.h"

#include <cstddef>

#include "figure/check.h"
#include "figure/error.h"

namespace aplomb {
namespace {

aplomb_status check_present(const double* values, const char* field, int width, aplomb_error* error) {
    if (values) return APLOMB_OK;
    return fail(error, APLOMB_BAD_ARGUMENT, field, -1, "%s is NULL; %d numbers per joint are needed.", field,
                width);
}

} // namespace

aplomb_status check_pose(const Figure& figure, const double* translations, const double* rotations,
                         aplomb_error* error) {
    if (const auto s = check_present(translations, "translations", 3, error)) return s;
    if (const auto s = check_present(rotations, "rotations", 4, error)) return s;
    const double largest = largest_length / figure.frame.metres_per_unit;
    for (int32_t j = 0; j < figure.joint_count; ++j) {
        const char* const* name = &figure.joints[j].name;
        const size_t i = static_cast<size_t>(j);
        if (const auto s = check_finite({"translations", "joint", translations + 3 * i, 3, 1, name, j},
                                        largest, APLOMB_BAD_POSE, error))
            return s;
        if (const auto s = check_rotations({"rotations", "joint", rotations + 4 * i, 4, 1, name, j},
                                           APLOMB_BAD_POSE, error))
            return s;
    }
    return APLOMB_OK;
}

aplomb_status pose_in(const Figure& figure, const double* translations, const double* rotations,
                      Vec3* inner_translations, Quat* inner_rotations, aplomb_error* error) {
    if (const auto s = check_pose(figure, translations, rotations, error)) return s;
    for (int32_t j = 0; j < figure.joint_count; ++j) {
        const double* t = translations + 3 * static_cast<size_t>(j);
        const double* q = rotations + 4 * static_cast<size_t>(j);
        inner_translations[j] = length_in(figure.frame, {t[0], t[1], t[2]});
        inner_rotations[j] = rotation_in(figure.frame, normalized(Quat{q[0], q[1], q[2], q[3]}));
    }
    return APLOMB_OK;
}

} // namespace aplomb
