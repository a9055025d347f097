// SPDX-License-Identifier: MIT
#include "figure/skin_check.h"

#include <cmath>
#include <cstddef>

#include "base/check.h"
#include "base/error.h"

namespace aplomb {
namespace {

constexpr int32_t most_elements = 1 << 26;
constexpr double sum_tolerance = 0.01; // of a vertex's weights, as the header says

aplomb_status check_arrays(const aplomb_skin& skin, aplomb_error* error) {
    const auto missing = [&](const char* name) {
        return fail(error, APLOMB_BAD_ARGUMENT, name, -1, "%s is NULL.", name);
    };
    if (skin.vertex_count < 1 || skin.vertex_count > most_elements)
        return fail(error, APLOMB_BAD_ARGUMENT, "skin.vertex_count", -1,
                    "skin.vertex_count is %d; it must be 1 to %d.", skin.vertex_count, most_elements);
    if (skin.triangle_count < 0 || skin.triangle_count > most_elements)
        return fail(error, APLOMB_BAD_ARGUMENT, "skin.triangle_count", -1,
                    "skin.triangle_count is %d; it must be 0 to %d.", skin.triangle_count, most_elements);
    if (!skin.positions) return missing("skin.positions");
    if (!skin.joints) return missing("skin.joints");
    if (!skin.weights) return missing("skin.weights");
    if (skin.triangle_count > 0 && !skin.triangles) return missing("skin.triangles");
    return APLOMB_OK;
}

aplomb_status check_position(const double* position, double largest, int32_t vertex, aplomb_error* error) {
    for (int k = 0; k < 3; ++k) {
        if (!std::isfinite(position[k]))
            return fail(error, APLOMB_BAD_ARGUMENT, "skin.positions", vertex,
                        "skin.positions of vertex %d: component %d is %g, not a finite number.", vertex, k,
                        position[k]);
        if (std::fabs(position[k]) > largest)
            return fail(error, APLOMB_BAD_ARGUMENT, "skin.positions", vertex,
                        "skin.positions of vertex %d: component %d is %g, beyond %g.", vertex, k, position[k],
                        largest);
    }
    return APLOMB_OK;
}

aplomb_status check_influences(const aplomb_figure_desc& d, int32_t vertex, aplomb_error* error) {
    const int32_t* joints = d.skin->joints + 4 * static_cast<size_t>(vertex);
    const double* weights = d.skin->weights + 4 * static_cast<size_t>(vertex);
    double sum = 0;
    for (int k = 0; k < 4; ++k) {
        if (joints[k] < -1 || joints[k] >= d.joint_count)
            return fail(error, APLOMB_BAD_ARGUMENT, "skin.joints", vertex,
                        "skin.joints of vertex %d: component %d is %d; it must be -1 to %d.", vertex, k,
                        joints[k], d.joint_count - 1);
        if (!std::isfinite(weights[k]) || weights[k] < 0)
            return fail(error, APLOMB_BAD_ARGUMENT, "skin.weights", vertex,
                        "skin.weights of vertex %d: component %d is %g; it must be 0 or more.", vertex, k,
                        weights[k]);
        if (joints[k] == -1 && weights[k] > 0)
            return fail(error, APLOMB_BAD_ARGUMENT, "skin.weights", vertex,
                        "skin.weights of vertex %d: component %d is %g, but its joint is -1.", vertex, k,
                        weights[k]);
        sum += weights[k];
    }
    if (std::fabs(sum - 1) > sum_tolerance)
        return fail(error, APLOMB_BAD_ARGUMENT, "skin.weights", vertex,
                    "skin.weights of vertex %d sum to %g, not to 1.", vertex, sum);
    return APLOMB_OK;
}

aplomb_status check_triangles(const aplomb_skin& skin, aplomb_error* error) {
    for (int32_t i = 0; i < skin.triangle_count; ++i) {
        const int32_t* corners = skin.triangles + 3 * static_cast<size_t>(i);
        for (int k = 0; k < 3; ++k) {
            if (corners[k] < 0 || corners[k] >= skin.vertex_count)
                return fail(error, APLOMB_BAD_ARGUMENT, "skin.triangles", i,
                            "skin.triangles %d: corner %d is %d; it must be 0 to %d.", i, k, corners[k],
                            skin.vertex_count - 1);
        }
    }
    return APLOMB_OK;
}

} // namespace

aplomb_status check_skin(const aplomb_figure_desc& d, aplomb_error* error) {
    if (!d.skin) return APLOMB_OK;
    const aplomb_skin& skin = *d.skin;
    if (const auto s = check_arrays(skin, error)) return s;
    const double largest = largest_length / d.metres_per_unit;
    for (int32_t v = 0; v < skin.vertex_count; ++v) {
        const double* position = skin.positions + 3 * static_cast<size_t>(v);
        if (const auto s = check_position(position, largest, v, error)) return s;
        if (const auto s = check_influences(d, v, error)) return s;
    }
    return check_triangles(skin, error);
}

} // namespace aplomb
