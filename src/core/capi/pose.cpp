// SPDX-License-Identifier: MIT
// Poses from and to the host's own arrays: strided numbers and 4x4 matrices.
#include <cfloat>
#include <cmath>
#include <cstdint>
#include <cstring>

#include "base/check.h"
#include "base/error.h"
#include "capi/handles.h"
#include "figure/frame.h"

using namespace aplomb;

namespace {

/// Strided numbers of either size; memcpy, because a host's arrays need not be aligned.
struct Strided {
    unsigned char* base;
    aplomb_number type;
    size_t stride;

    double get(int item, int component) const {
        if (type == APLOMB_DOUBLE) return load<double>(item, component);
        return load<float>(item, component);
    }
    void set(int item, int component, double value) const {
        if (type == APLOMB_DOUBLE) return store(item, component, value);
        store(item, component, static_cast<float>(value));
    }

private:
    template<class T>
    T load(int item, int component) const {
        T value;
        std::memcpy(&value, place<T>(item, component), sizeof value);
        return value;
    }
    template<class T>
    void store(int item, int component, T value) const {
        std::memcpy(place<T>(item, component), &value, sizeof value);
    }
    template<class T>
    unsigned char* place(int item, int component) const {
        return base + stride * static_cast<size_t>(item) + sizeof(T) * static_cast<size_t>(component);
    }
};

/// Where the array is the caller's input, it is only read.
Strided strided(const void* array, aplomb_number type, size_t stride) {
    return {static_cast<unsigned char*>(const_cast<void*>(array)), type, stride};
}

aplomb_status check_stride(const char* field, const void* array, aplomb_number type, size_t stride, int width,
                           int32_t count, aplomb_error* error) {
    if (!array) return fail(error, APLOMB_BAD_ARGUMENT, field, -1, "%s is NULL.", field);
    if (type != APLOMB_FLOAT && type != APLOMB_DOUBLE)
        return fail(error, APLOMB_BAD_ARGUMENT, "type", -1, "type is %d; it must be an aplomb_number.",
                    static_cast<int>(type));
    const size_t item = static_cast<size_t>(width) * (type == APLOMB_DOUBLE ? sizeof(double) : sizeof(float));
    if (count > 0 && stride > (PTRDIFF_MAX - item) / static_cast<size_t>(count))
        return fail(error, APLOMB_BAD_ARGUMENT, "stride", -1,
                    "stride is %zu bytes; %d items that far apart do not fit into memory.", stride, count);
    if (stride >= item) return APLOMB_OK;
    return fail(error, APLOMB_BAD_ARGUMENT, "stride", -1, "stride is %zu bytes; one item of %s takes %zu.",
                stride, field, item);
}

aplomb_status check_dense(const char* field, const double* array, int32_t width, int32_t count,
                          aplomb_error* error) {
    if (!array) return fail(error, APLOMB_BAD_ARGUMENT, field, -1, "%s is NULL.", field);
    if (width != 3 && width != 4)
        return fail(error, APLOMB_BAD_ARGUMENT, "width", -1, "width is %d; it must be 3 or 4.", width);
    if (count < 0)
        return fail(error, APLOMB_BAD_ARGUMENT, "count", -1, "count is %d; it must not be negative.", count);
    return APLOMB_OK;
}

// How far a matrix may be off, the same as a quaternion from unit length: its columns in length (relative) and in the
// cosine between two of them, and its last row.
constexpr double matrix_tolerance = 1e-4;

/// A joint's matrix taken apart.
struct Parted {
    Vec3 translation;
    Quat rotation;
    double scale;
};

/// What is wrong with a matrix, or nullptr.
const char* part(const Strided& matrices, int joint, Parted* out) {
    double m[16];
    for (int k = 0; k < 16; ++k) {
        m[k] = matrices.get(joint, k);
        if (!std::isfinite(m[k]) || std::fabs(m[k]) > largest_length)
            return "an element is not a finite number";
    }
    if (std::fabs(m[3]) + std::fabs(m[7]) + std::fabs(m[11]) + std::fabs(m[15] - 1) > matrix_tolerance)
        return "the last row is not 0 0 0 1";
    const Vec3 a = {m[0], m[1], m[2]}, b = {m[4], m[5], m[6]}, c = {m[8], m[9], m[10]};
    const double la = norm(a), lb = norm(b), lc = norm(c), scale = (la + lb + lc) / 3;
    if (!(scale > 1e-12)) return "the scale is zero";
    const double off = matrix_tolerance * scale;
    if (std::fabs(la - scale) > off || std::fabs(lb - scale) > off || std::fabs(lc - scale) > off)
        return "the scale is not the same on all axes";
    const double square = off * scale;
    if (std::fabs(dot(a, b)) > square || std::fabs(dot(b, c)) > square || std::fabs(dot(c, a)) > square)
        return "the axes are not at right angles (shear)";
    if (dot(cross(a, b), c) < 0) return "the axes are left-handed (a mirrored joint)";
    *out = {{m[12], m[13], m[14]}, to_quat(Mat3::from_columns(a / scale, b / scale, c / scale)), scale};
    return nullptr;
}

aplomb_status check_matrices(const Figure& figure, const Strided& matrices, aplomb_error* error) {
    for (int32_t j = 0; j < figure.joint_count; ++j) {
        Parted parted;
        if (const char* wrong = part(matrices, j, &parted))
            return fail(error, APLOMB_BAD_POSE, "matrices", j, "matrices of joint %d (%.64s): %s.", j,
                        figure.joints[j].name, wrong);
    }
    return APLOMB_OK;
}

/// The product of the scales above a joint. A pose has no scale, so the joint's translation is multiplied by it, and
/// every joint ends up where the matrices put it.
double scale_above(const Figure& figure, const Strided& matrices, int32_t joint) {
    double scale = 1;
    for (int32_t j = figure.joints[joint].parent; j >= 0; j = figure.joints[j].parent) {
        Parted parted;
        part(matrices, j, &parted);
        scale *= parted.scale;
    }
    return scale;
}

/// Scales that are sound one by one may still multiply to put a joint out of range.
aplomb_status check_scales(const Figure& figure, const Strided& matrices, aplomb_error* error) {
    for (int32_t j = 1; j < figure.joint_count; ++j) {
        Parted own;
        part(matrices, j, &own);
        const double scale = scale_above(figure, matrices, j);
        if (!(norm(own.translation) * scale <= largest_length))
            return fail(
                error, APLOMB_BAD_POSE, "matrices", j,
                "matrices of joint %d (%.64s): the scales above it come to %g, which puts it beyond %g.", j,
                figure.joints[j].name, scale, largest_length);
    }
    return APLOMB_OK;
}

/// A joint's transform relative to its parent, without scale.
Placement local_of(const Figure& figure, const Strided& matrices, aplomb_space space, int32_t joint) {
    Parted own, above;
    part(matrices, joint, &own);
    const int32_t parent = figure.joints[joint].parent;
    if (parent < 0) return {own.translation, own.rotation};
    if (space == APLOMB_LOCAL) return {own.translation * scale_above(figure, matrices, joint), own.rotation};
    part(matrices, parent, &above);
    const Quat to_parent = conjugate(above.rotation);
    return {rotate(to_parent, own.translation - above.translation), normalized(to_parent * own.rotation)};
}

Placement pose_local(const double* translations, const double* rotations, int32_t joint) {
    const double* t = translations + 3 * static_cast<size_t>(joint);
    const double* q = rotations + 4 * static_cast<size_t>(joint);
    return {{t[0], t[1], t[2]}, normalized(Quat{q[0], q[1], q[2], q[3]})};
}

/// Walks up to the root: no memory is needed, and where the output is float no digits are lost on the way.
Placement pose_world(const Figure& figure, const double* translations, const double* rotations,
                     int32_t joint) {
    Placement world = pose_local(translations, rotations, joint);
    for (int32_t j = figure.joints[joint].parent; j >= 0; j = figure.joints[j].parent) {
        const Placement above = pose_local(translations, rotations, j);
        world = {to_world(above, world.position), normalized(above.rotation * world.rotation)};
    }
    return world;
}

void put_matrix(const Strided& matrices, int joint, const Placement& placement) {
    const Mat3 r = to_matrix(placement.rotation);
    for (int column = 0; column < 4; ++column) {
        const Vec3 v = column < 3 ? r.column(column) : placement.position;
        for (int row = 0; row < 3; ++row)
            matrices.set(joint, 4 * column + row, v[row]);
        matrices.set(joint, 4 * column + 3, column < 3 ? 0.0 : 1.0);
    }
}

aplomb_status check_matrix_call(const aplomb_figure* figure, const void* matrices, aplomb_number type,
                                size_t stride, aplomb_space space, aplomb_error* error) {
    if (!figure) return fail(error, APLOMB_BAD_ARGUMENT, "figure", -1, "figure is NULL.");
    if (space != APLOMB_LOCAL && space != APLOMB_WORLD)
        return fail(error, APLOMB_BAD_ARGUMENT, "space", -1, "space is %d; it must be an aplomb_space.",
                    static_cast<int>(space));
    return check_stride("matrices", matrices, type, stride, 16, figure->joint_count, error);
}

} // namespace

aplomb_status aplomb_gather(const void* source, aplomb_number type, size_t stride, int32_t width,
                            int32_t count, double* target, aplomb_error* error) {
    if (const auto s = check_dense("target", target, width, count, error)) return s;
    if (const auto s = check_stride("source", source, type, stride, width, count, error)) return s;
    const Strided from = strided(source, type, stride);
    for (int32_t i = 0; i < count; ++i) {
        for (int k = 0; k < width; ++k)
            *target++ = from.get(i, k);
    }
    return APLOMB_OK;
}

aplomb_status aplomb_scatter(const double* source, int32_t width, int32_t count, void* target,
                             aplomb_number type, size_t stride, aplomb_error* error) {
    if (const auto s = check_dense("source", source, width, count, error)) return s;
    if (const auto s = check_stride("target", target, type, stride, width, count, error)) return s;
    const double largest = type == APLOMB_FLOAT ? FLT_MAX : DBL_MAX;
    if (const auto s = check_finite({"source", "joint", source, width, count, nullptr}, largest,
                                    APLOMB_BAD_ARGUMENT, error))
        return s;
    const Strided to = strided(target, type, stride);
    for (int32_t i = 0; i < count; ++i) {
        for (int k = 0; k < width; ++k)
            to.set(i, k, *source++);
    }
    return APLOMB_OK;
}

aplomb_status aplomb_pose_from_matrices(const aplomb_figure* figure, const void* matrices, aplomb_number type,
                                        size_t stride, aplomb_space space, double* translations,
                                        double* rotations, aplomb_error* error) {
    if (const auto s = check_matrix_call(figure, matrices, type, stride, space, error)) return s;
    if (!translations) return fail(error, APLOMB_BAD_ARGUMENT, "translations", -1, "translations is NULL.");
    if (!rotations) return fail(error, APLOMB_BAD_ARGUMENT, "rotations", -1, "rotations is NULL.");
    const Strided from = strided(matrices, type, stride);
    if (const auto s = check_matrices(*figure, from, error)) return s;
    if (space == APLOMB_LOCAL) {
        if (const auto s = check_scales(*figure, from, error)) return s;
    }
    for (int32_t j = 0; j < figure->joint_count; ++j) {
        const Placement local = local_of(*figure, from, space, j);
        for (int k = 0; k < 3; ++k)
            *translations++ = local.position[k];
        const double q[4] = {local.rotation.x, local.rotation.y, local.rotation.z, local.rotation.w};
        for (const double component : q)
            *rotations++ = component;
    }
    return APLOMB_OK;
}

aplomb_status aplomb_pose_to_matrices(const aplomb_figure* figure, const double* translations,
                                      const double* rotations, void* matrices, aplomb_number type,
                                      size_t stride, aplomb_space space, aplomb_error* error) {
    if (const auto s = check_matrix_call(figure, matrices, type, stride, space, error)) return s;
    if (const auto s = check_pose(*figure, translations, rotations, error)) return s;
    const Strided to = strided(matrices, type, stride);
    for (int32_t j = 0; j < figure->joint_count; ++j) {
        put_matrix(to, j,
                   space == APLOMB_WORLD ? pose_world(*figure, translations, rotations, j)
                                         : pose_local(translations, rotations, j));
    }
    return APLOMB_OK;
}
