// SPDX-License-Identifier: MIT
#include "figure/description.h"

#include <cmath>
#include <cstdlib>
#include <cstring>

#include "base/check.h"
#include "base/error.h"
#include "base/utf8.h"
#include "figure/skin_check.h"

namespace aplomb {
namespace {

constexpr double largest_angle = 1e6; // radian; a bound past it on the wrong side leaves no pose
constexpr double largest_mass = 1e12; // kg; keeps products with squared lengths finite

const char* name_of(const aplomb_figure_desc& d, int joint) {
    return d.names && d.names[joint] && d.names[joint][0] ? d.names[joint] : "without a name";
}

aplomb_status check_tree(const aplomb_figure_desc& d, aplomb_error* error) {
    if (!d.parents)
        return fail(error, APLOMB_BAD_ARGUMENT, "parents", -1,
                    "parents is NULL; one index per joint is needed.");
    if (d.parents[0] != -1)
        return fail(error, APLOMB_BAD_FIGURE, "parents", 0,
                    "parents of joint 0 (%.64s) is %d; the first joint is the root and has parent -1.",
                    name_of(d, 0), d.parents[0]);
    for (int32_t j = 1; j < d.joint_count; ++j) {
        const int32_t parent = d.parents[j];
        if (parent == -1)
            return fail(error, APLOMB_BAD_FIGURE, "parents", j,
                        "parents of joint %d (%.64s) is -1, a second root; only joint 0 may be one.", j,
                        name_of(d, j));
        if (parent < 0 || parent >= j)
            return fail(error, APLOMB_BAD_FIGURE, "parents", j,
                        "parents of joint %d (%.64s) is %d; a parent must come before its child.", j,
                        name_of(d, j), parent);
    }
    return APLOMB_OK;
}

aplomb_status check_names(const aplomb_figure_desc& d, aplomb_error* error) {
    for (int32_t j = 0; d.names && j < d.joint_count; ++j) {
        if (!d.names[j] || is_utf8(d.names[j], std::strlen(d.names[j]))) continue;
        return fail(error, APLOMB_BAD_ARGUMENT, "names", j, "names of joint %d is not UTF-8.", j);
    }
    return APLOMB_OK;
}

aplomb_status check_axes(const aplomb_figure_desc& d, aplomb_error* error) {
    const auto valid = [](int32_t axis) { return axis >= -3 && axis <= 3 && axis != 0; };
    if (!valid(d.up_axis))
        return fail(error, APLOMB_BAD_ARGUMENT, "up_axis", -1, "up_axis is %d; it must be an aplomb_axis.",
                    d.up_axis);
    if (!valid(d.forward_axis))
        return fail(error, APLOMB_BAD_ARGUMENT, "forward_axis", -1,
                    "forward_axis is %d; it must be an aplomb_axis.", d.forward_axis);
    if (std::abs(d.up_axis) == std::abs(d.forward_axis))
        return fail(error, APLOMB_BAD_FIGURE, "forward_axis", -1,
                    "forward_axis is %d and up_axis %d; they must be at right angles.", d.forward_axis,
                    d.up_axis);
    if (d.left_handed != 0 && d.left_handed != 1)
        return fail(error, APLOMB_BAD_ARGUMENT, "left_handed", -1, "left_handed is %d; it must be 0 or 1.",
                    d.left_handed);
    if (!std::isfinite(d.metres_per_unit) || d.metres_per_unit < 1e-9 || d.metres_per_unit > 1e9)
        return fail(error, APLOMB_BAD_ARGUMENT, "metres_per_unit", -1,
                    "metres_per_unit is %g; it must be positive, from 1e-9 to 1e9.", d.metres_per_unit);
    return APLOMB_OK;
}

/// Unknown tips are three NaN.
aplomb_status check_tips(const aplomb_figure_desc& d, aplomb_error* error) {
    if (!d.tips) return APLOMB_OK;
    for (int32_t j = 0; j < d.joint_count; ++j) {
        const double* tip = d.tips + 3 * static_cast<size_t>(j);
        if (std::isnan(tip[0]) && std::isnan(tip[1]) && std::isnan(tip[2])) continue;
        const char* const* name = d.names ? d.names + j : nullptr;
        if (const auto s = check_finite({"tips", "joint", tip, 3, 1, name, j},
                                        largest_length / d.metres_per_unit, APLOMB_BAD_ARGUMENT, error))
            return s;
    }
    return APLOMB_OK;
}

aplomb_status check_rest_pose(const aplomb_figure_desc& d, aplomb_error* error) {
    if (!d.translations)
        return fail(error, APLOMB_BAD_ARGUMENT, "translations", -1,
                    "translations is NULL; 3 numbers per joint are needed.");
    if (const auto s = check_finite({"translations", "joint", d.translations, 3, d.joint_count, d.names},
                                    largest_length / d.metres_per_unit, APLOMB_BAD_ARGUMENT, error))
        return s;
    if (d.rotations) {
        if (const auto s = check_rotations({"rotations", "joint", d.rotations, 4, d.joint_count, d.names},
                                           APLOMB_BAD_ARGUMENT, error))
            return s;
    }
    return check_tips(d, error);
}

aplomb_status check_choice(const aplomb_figure_desc& d, const char* field, const int32_t* values,
                           int32_t last, aplomb_error* error) {
    if (!values) return APLOMB_OK;
    for (int32_t j = 0; j < d.joint_count; ++j) {
        if (values[j] < 0 || values[j] > last)
            return fail(error, APLOMB_BAD_ARGUMENT, field, j,
                        "%s of joint %d (%.64s) is %d; it must be 0 to %d.", field, j, name_of(d, j),
                        values[j], last);
    }
    return APLOMB_OK;
}

aplomb_status check_masses(const aplomb_figure_desc& d, aplomb_error* error) {
    if (!d.masses) return APLOMB_OK;
    if (const auto s = check_finite({"masses", "joint", d.masses, 1, d.joint_count, d.names}, largest_mass,
                                    APLOMB_BAD_ARGUMENT, error))
        return s;
    double sum = 0;
    for (int32_t j = 0; j < d.joint_count; ++j) {
        if (d.masses[j] < 0)
            return fail(error, APLOMB_BAD_ARGUMENT, "masses", j,
                        "masses of joint %d (%.64s) is %g; a mass must not be negative.", j, name_of(d, j),
                        d.masses[j]);
        sum += d.masses[j];
    }
    if (sum > 0) return APLOMB_OK;
    return fail(error, APLOMB_BAD_FIGURE, "masses", -1, "masses are all 0; some segment must have mass.");
}

aplomb_status check_mass_model(const aplomb_figure_desc& d, aplomb_error* error) {
    if (d.mass_table < APLOMB_MASS_DE_LEVA_MALE || d.mass_table > APLOMB_MASS_SKIN)
        return fail(error, APLOMB_BAD_ARGUMENT, "mass_table", -1,
                    "mass_table is %d; it must be an aplomb_mass_table.", d.mass_table);
    if (!std::isfinite(d.total_mass) || d.total_mass < 0 || d.total_mass > largest_mass)
        return fail(error, APLOMB_BAD_ARGUMENT, "total_mass", -1, "total_mass is %g; it must be 0 to %g.",
                    d.total_mass, largest_mass);
    if (const auto s = check_masses(d, error)) return s;
    if (d.centres) {
        if (const auto s = check_finite({"centres", "joint", d.centres, 3, d.joint_count, d.names},
                                        largest_length / d.metres_per_unit, APLOMB_BAD_ARGUMENT, error))
            return s;
    }
    if (!d.inertias) return APLOMB_OK;
    if (const auto s = check_finite({"inertias", "joint", d.inertias, 6, d.joint_count, d.names}, 1e30,
                                    APLOMB_BAD_ARGUMENT, error))
        return s;
    for (int32_t i = 0; i < 6 * d.joint_count; ++i) {
        if (i % 6 < 3 && d.inertias[i] < 0)
            return fail(error, APLOMB_BAD_ARGUMENT, "inertias", i / 6,
                        "inertias of joint %d (%.64s): component %d is %g; a moment must not be negative.",
                        i / 6, name_of(d, i / 6), i % 6, d.inertias[i]);
    }
    return APLOMB_OK;
}

/// NaN stands for the published range, infinity for no bound; a crossed pair allows no pose at all.
aplomb_status check_limits(const aplomb_figure_desc& d, aplomb_error* error) {
    if (!d.limits) return APLOMB_OK;
    static const char* const axes[3] = {"bend forward", "twist left", "lean right"};
    for (int32_t j = 0; j < d.joint_count; ++j) {
        for (int axis = 0; axis < 3; ++axis) {
            const double* pair = d.limits + 6 * static_cast<size_t>(j) + 2 * axis;
            if (std::isgreater(pair[0], pair[1])) // quiet: NaN is "not given"
                return fail(error, APLOMB_BAD_FIGURE, "limits", j,
                            "limits of joint %d (%.64s), %s: the lowest, %g, is above the highest, %g.", j,
                            name_of(d, j), axes[axis], pair[0], pair[1]);
            if (std::isgreater(pair[0], largest_angle) || std::isless(pair[1], -largest_angle))
                return fail(error, APLOMB_BAD_FIGURE, "limits", j,
                            "limits of joint %d (%.64s), %s: from %g to %g no pose is left.", j,
                            name_of(d, j), axes[axis], pair[0], pair[1]);
        }
    }
    return APLOMB_OK;
}

aplomb_status check_sole(const aplomb_figure_desc& d, int32_t i, aplomb_error* error) {
    const aplomb_patch& sole = d.soles[i];
    if (sole.joint < 0 || sole.joint >= d.joint_count)
        return fail(error, APLOMB_BAD_ARGUMENT, "soles", i, "soles %d: joint is %d; it must be 0 to %d.", i,
                    sole.joint, d.joint_count - 1);
    if (sole.point_count < 1 || sole.point_count > 16)
        return fail(error, APLOMB_BAD_ARGUMENT, "soles", i,
                    "soles %d: point_count is %d; it must be 1 to 16.", i, sole.point_count);
    if (!sole.points)
        return fail(error, APLOMB_BAD_ARGUMENT, "soles", i, "soles %d: points is NULL; %d points are needed.",
                    i, sole.point_count);
    aplomb_error inner;
    if (const auto s = check_finite({"points", "point", sole.points, 3, sole.point_count, nullptr},
                                    largest_length / d.metres_per_unit, APLOMB_BAD_ARGUMENT, &inner))
        return fail(error, s, "soles", i, "soles %d: %s", i, inner.message);
    return APLOMB_OK;
}

aplomb_status check_soles(const aplomb_figure_desc& d, aplomb_error* error) {
    if (d.sole_count < 0 || d.sole_count > d.joint_count)
        return fail(error, APLOMB_BAD_ARGUMENT, "sole_count", -1, "sole_count is %d; it must be 0 to %d.",
                    d.sole_count, d.joint_count);
    if (d.sole_count > 0 && !d.soles)
        return fail(error, APLOMB_BAD_ARGUMENT, "soles", -1, "soles is NULL, but sole_count is %d.",
                    d.sole_count);
    for (int32_t i = 0; i < d.sole_count; ++i) {
        if (const auto s = check_sole(d, i, error)) return s;
    }
    return APLOMB_OK;
}

} // namespace

aplomb_status check_description(const aplomb_figure_desc& d, aplomb_error* error) {
    if (d.joint_count < 1 || d.joint_count > max_joints)
        return fail(error, APLOMB_BAD_ARGUMENT, "joint_count", -1, "joint_count is %d; it must be 1 to %d.",
                    d.joint_count, max_joints);
    if (const auto s = check_names(d, error)) return s; // before any sentence quotes one
    if (const auto s = check_tree(d, error)) return s;
    if (const auto s = check_axes(d, error)) return s;
    if (const auto s = check_rest_pose(d, error)) return s;
    if (const auto s = check_choice(d, "roles", d.roles, APLOMB_ROLE_HELPER, error)) return s;
    if (const auto s = check_choice(d, "sides", d.sides, APLOMB_SIDE_MIDDLE, error)) return s;
    if (const auto s = check_mass_model(d, error)) return s;
    if (const auto s = check_limits(d, error)) return s;
    if (const auto s = check_soles(d, error)) return s;
    return check_skin(d, error);
}

} // namespace aplomb
