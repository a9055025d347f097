// SPDX-License-Identifier: MIT
// The C entry points for pictures: checks everything, draws, writes beside the target and renames.
#include "aplomb/files.h"

#include <algorithm>
#include <cerrno>
#include <cmath>
#include <cstdarg>
#include <cstdio>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <new>

#include "report/drawing.h"
#include "report/page.h"

namespace aplomb::report {
namespace {

[[gnu::format(printf, 5, 6)]] aplomb_status refuse(aplomb_error* error, aplomb_status status,
                                                   const char* field, int index, const char* format, ...) {
    if (error == nullptr) return status;
    *error = {};
    error->status = status;
    error->index = index;
    std::snprintf(error->field, sizeof error->field, "%s", field);
    va_list values;
    va_start(values, format);
    std::vsnprintf(error->message, sizeof error->message, format, values);
    va_end(values);
    return status;
}

aplomb_status check_numbers(const double* values, int32_t count, const std::string& field,
                            aplomb_error* error) {
    for (int32_t i = 0; i < count; ++i)
        if (!std::isfinite(values[i]))
            return refuse(error, APLOMB_BAD_POSE, field.c_str(), i, "%s[%d] is %g; it must be finite.",
                          field.c_str(), i, values[i]);
    return APLOMB_OK;
}

aplomb_status check_reading(const aplomb_reading& reading, const std::string& field, aplomb_error* error) {
    if (reading.struct_size != sizeof(aplomb_reading))
        return refuse(error, APLOMB_WRONG_VERSION, field.c_str(), -1,
                      "%s: struct_size is %u; this library draws readings of %zu bytes.", field.c_str(),
                      reading.struct_size, sizeof(aplomb_reading));
    bool finite = true;
    for (int i = 0; i < 3; ++i)
        finite = finite && std::isfinite(reading.centre[i]) &&
                 (reading.pressing == 0 || std::isfinite(reading.balance_point[i]));
    if (!finite)
        return refuse(error, APLOMB_BAD_ARGUMENT, field.c_str(), -1,
                      "%s: its centre of mass or balance point is not finite.", field.c_str());
    return APLOMB_OK;
}

aplomb_status check_pose(const aplomb_drawn_pose& pose, const char* name, int32_t joints,
                         aplomb_error* error) {
    const std::string field = name;
    if (pose.translations == nullptr || pose.rotations == nullptr || pose.reading == nullptr)
        return refuse(error, APLOMB_BAD_ARGUMENT, name, -1,
                      "%s: translations, rotations and reading are all needed; one is NULL.", name);
    if (auto s = check_numbers(pose.translations, 3 * joints, field + ".translations", error)) return s;
    if (auto s = check_numbers(pose.rotations, 4 * joints, field + ".rotations", error)) return s;
    for (int32_t j = 0; j < joints; ++j) {
        const double* r = pose.rotations + 4 * j;
        const double length = std::sqrt(r[0] * r[0] + r[1] * r[1] + r[2] * r[2] + r[3] * r[3]);
        if (std::fabs(length - 1) > 1e-4)
            return refuse(error, APLOMB_BAD_POSE, (field + ".rotations").c_str(), j,
                          "%s.rotations: the rotation of joint %d has length %g; it must be 1.", name, j,
                          length);
    }
    return check_reading(*pose.reading, field + ".reading", error);
}

aplomb_status check(const aplomb_picture* picture, const char* path, aplomb_error* error) {
    if (picture == nullptr) return refuse(error, APLOMB_BAD_ARGUMENT, "picture", -1, "picture is NULL.");
    if (picture->struct_size != sizeof(aplomb_picture))
        return refuse(error, APLOMB_WRONG_VERSION, "picture", -1,
                      "picture: struct_size is %u, not %zu. Set it up with aplomb_picture_init.",
                      picture->struct_size, sizeof(aplomb_picture));
    if (picture->figure == nullptr)
        return refuse(error, APLOMB_BAD_ARGUMENT, "figure", -1, "figure is NULL.");
    if (path == nullptr || path[0] == '\0')
        return refuse(error, APLOMB_BAD_ARGUMENT, "path", -1, "path is NULL or empty.");
    const int32_t joints = aplomb_figure_joint_count(picture->figure);
    if (auto s = check_pose(picture->before, "before", joints, error)) return s;
    if (picture->after.translations == nullptr) return APLOMB_OK;
    return check_pose(picture->after, "after", joints, error);
}

/// Writes the file whole beside its place and moves it there, so that an old one is never left half.
aplomb_status write_whole(const std::string& text, const char* path, aplomb_error* error) {
    const std::filesystem::path target(reinterpret_cast<const char8_t*>(path));
    std::filesystem::path beside = target;
    beside += ".new";
    errno = 0;
    std::ofstream file(beside, std::ios::binary | std::ios::trunc);
    file.write(text.data(), static_cast<std::streamsize>(text.size()));
    file.close();
    std::error_code code;
    if (!file) {
        const int reason = errno;
        std::filesystem::remove(beside, code);
        return refuse(error, APLOMB_CANNOT_OPEN, "path", -1, "%s cannot be written: %s.", path,
                      reason != 0 ? std::strerror(reason) : "the file could not be completed");
    }
    std::filesystem::rename(beside, target, code);
    if (!code) return APLOMB_OK;
    const std::string reason = code.message();
    std::filesystem::remove(beside, code);
    return refuse(error, APLOMB_CANNOT_OPEN, "path", -1, "%s cannot be replaced: %s.", path, reason.c_str());
}

aplomb_status write_picture(const aplomb_picture* picture, const char* path, aplomb_error* error) {
    if (auto status = check(picture, path, error)) return status;
    Body body;
    if (!read_body(picture->figure, body))
        return refuse(error, APLOMB_BAD_FIGURE, "figure", -1, "figure cannot be read.");
    return write_whole(draw_page(make_drawing(*picture, std::move(body))), path, error);
}

} // namespace
} // namespace aplomb::report

void aplomb_picture_init(aplomb_picture* picture, size_t size) {
    if (picture == nullptr) return;
    aplomb_picture defaults{};
    defaults.struct_size = static_cast<uint32_t>(size);
    std::memset(static_cast<void*>(picture), 0, size);
    std::memcpy(static_cast<void*>(picture), &defaults, std::min(size, sizeof defaults));
}

aplomb_status aplomb_picture_write(const aplomb_picture* picture, const char* path, aplomb_error* error) {
    try {
        return aplomb::report::write_picture(picture, path, error);
    } catch (const std::bad_alloc&) {
        return aplomb::report::refuse(error, APLOMB_OUT_OF_MEMORY, "picture", -1, "out of memory.");
    } catch (const std::exception& problem) {
        return aplomb::report::refuse(error, APLOMB_CANNOT_OPEN, "path", -1, "%s cannot be written: %s.",
                                      path, problem.what());
    }
}
