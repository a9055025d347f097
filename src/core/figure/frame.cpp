// SPDX-License-Identifier: MIT
#include "figure/frame.h"

#include <cmath>
#include <cstddef>

#include "base/check.h"
#include "base/error.h"

namespace aplomb {
namespace {

aplomb_status check_present(const void* values, const char* field, int width, aplomb_error* error) {
    if (values) return APLOMB_OK;
    return fail(error, APLOMB_BAD_ARGUMENT, field, -1, "%s is NULL; %d numbers per joint are needed.", field,
                width);
}

/// 1 / sqrt(x) for x within 2e-4 of 1, by two Newton steps: to the last bit or so, and no division.
double reciprocal_root_near_one(double x) {
    const double s = 1.5 - 0.5 * x;
    return s * (1.5 - 0.5 * x * s * s);
}

template<class T>
aplomb_status check_numbers(const Figure& figure, const T* translations, const T* rotations,
                            aplomb_error* error) {
    if (const auto s = check_present(translations, "translations", 3, error)) return s;
    if (const auto s = check_present(rotations, "rotations", 4, error)) return s;
    const double largest = largest_length / figure.frame.metres_per_unit;
    for (int32_t j = 0; j < figure.joint_count; ++j) {
        const char* const* name = &figure.joints[j].name;
        const T* from = translations + 3 * static_cast<size_t>(j);
        const T* turn = rotations + 4 * static_cast<size_t>(j);
        const double t[3] = {from[0], from[1], from[2]}, q[4] = {turn[0], turn[1], turn[2], turn[3]};
        if (const auto s =
                check_finite({"translations", "joint", t, 3, 1, name, j}, largest, APLOMB_BAD_POSE, error))
            return s;
        if (const auto s = check_rotations({"rotations", "joint", q, 4, 1, name, j}, APLOMB_BAD_POSE, error))
            return s;
    }
    return APLOMB_OK;
}

template<class T>
aplomb_status numbers_in(const Figure& figure, const T* translations, const T* rotations,
                         Vec3* inner_translations, Quat* inner_rotations, aplomb_error* error) {
    if (!translations || !rotations) return check_numbers(figure, translations, rotations, error);
    const double largest = largest_length / figure.frame.metres_per_unit;
    const Quat& axes = figure.frame.to_anatomical;
    const bool turned = axes.x != 0 || axes.y != 0 || axes.z != 0 || figure.frame.left_handed;
    bool sound = true;
    for (int32_t j = 0; j < figure.joint_count; ++j) {
        const T* from = translations + 3 * static_cast<size_t>(j);
        const T* turn = rotations + 4 * static_cast<size_t>(j);
        const double t[3] = {from[0], from[1], from[2]}, q[4] = {turn[0], turn[1], turn[2], turn[3]};
        const double length2 = q[0] * q[0] + q[1] * q[1] + q[2] * q[2] + q[3] * q[3];
        sound = sound && std::fabs(length2 - 1.0) < 1.9e-4; // false for what is not finite, too
        for (int k = 0; k < 3; ++k)
            sound = sound && std::fabs(t[k]) <= largest;
        const double scale = reciprocal_root_near_one(length2);
        const Quat unit = {q[0] * scale, q[1] * scale, q[2] * scale, q[3] * scale};
        const Vec3 place = Vec3{t[0], t[1], t[2]} * figure.frame.metres_per_unit;
        inner_translations[j] = turned ? direction_in(figure.frame, place) : place;
        inner_rotations[j] = turned ? rotation_in(figure.frame, unit) : unit;
    }
    // A pose that looks wrong is gone through again, to find the place that the sentence names.
    return sound ? APLOMB_OK : check_numbers(figure, translations, rotations, error);
}

} // namespace

aplomb_status check_pose(const Figure& figure, const double* translations, const double* rotations,
                         aplomb_error* error) {
    return check_numbers(figure, translations, rotations, error);
}

aplomb_status pose_in(const Figure& figure, const HostPose& pose, Vec3* inner_translations,
                      Quat* inner_rotations, aplomb_error* error) {
    const auto in = [&](auto number) {
        using T = decltype(number);
        return numbers_in(figure, static_cast<const T*>(pose.translations),
                          static_cast<const T*>(pose.rotations), inner_translations, inner_rotations, error);
    };
    return pose.floats ? in(0.0f) : in(0.0);
}

} // namespace aplomb
