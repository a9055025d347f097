// SPDX-License-Identifier: MIT
// aplomb_character_*: opening a character, and what can be asked of it.
#include "io/character.h"

#include "io/border.h"
#include "io/bytes.h"
#include "io/corrected_frames.h"
#include "io/disk.h"
#include "io/path.h"
#include "io/settle_character.h"
#include "io/skin.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>

using namespace aplomb;
using namespace aplomb::io;

namespace aplomb::io {

void check_clip(const aplomb_character* character, int32_t clip, double seconds) {
    if (character == nullptr) bad_argument("character", "character is NULL");
    const int count = character->file->clip_count();
    if (clip < -1 || clip >= count)
        bad_argument("clip",
                     "clip is " + std::to_string(clip) + "; the file has " + std::to_string(count) +
                         (count == 1 ? " clip" : " clips") +
                         ", counted from 0, and -1 is the pose of the nodes",
                     clip);
    if (!std::isfinite(seconds)) bad_argument("seconds", "seconds is not finite");
}

void put_translations(const Pose& pose, double* out) {
    for (const Vec3& t : pose.translations)
        for (const double v : {t.x, t.y, t.z})
            *out++ = v;
}

void put_rotations(const Pose& pose, double* out) {
    for (const Quat& q : pose.rotations)
        for (const double v : {q.x, q.y, q.z, q.w})
            *out++ = v;
}

} // namespace aplomb::io

namespace {

Source on_disk(const char* path_text) {
    const std::string path = path_text;
    return {read_file(path), folder_of(path), "", path + ".figure.json"};
}

Source in_memory(const aplomb_memory_file& file) {
    std::string description;
    if (file.name != nullptr && *file.name != '\0') description = file.name + std::string(".figure.json");
    const Beside beside(file.find, file.user);
    return {std::string(static_cast<const char*>(file.bytes), file.size), beside, beside, description};
}

void check_moment(const aplomb_character* character, int32_t clip, double seconds, const double* translations,
                  const double* rotations) {
    if (character == nullptr) bad_argument("character", "character is NULL");
    if (translations == nullptr) bad_argument("translations", "translations is NULL");
    if (rotations == nullptr) bad_argument("rotations", "rotations is NULL");
    check_clip(character, clip, seconds);
}

/// Scales and tangents of a file may multiply past what a number can hold.
void check_finite(const aplomb_character& character, const Pose& pose) {
    for (std::size_t i = 0; i < pose.translations.size(); ++i)
        if (!std::isfinite(norm(pose.translations[i])) ||
            !std::isfinite(dot(pose.rotations[i], pose.rotations[i])))
            refuse("the pose of joint " + std::to_string(i) + " ('" + character.names[i] +
                   "') at this moment is not finite");
}

const Skin& skin_of(const aplomb_character* character) {
    if (character == nullptr) bad_argument("character", "character is NULL");
    if (const Skin* skin = character->file->skin()) return *skin;
    const std::string why = character->file->why_no_skin();
    if (!why.empty()) refuse("its mesh cannot be used: " + why);
    refuse(
        "'" + character->path +
        "' has no mesh that its skin moves; a glTF file has one where a node holds both a mesh and the skin");
}

bool has_clip(const aplomb_character* character, int32_t clip) {
    return character != nullptr && clip >= 0 && clip < character->file->clip_count();
}

} // namespace

void aplomb_character_options_init(aplomb_character_options* options, size_t size) {
    aplomb::init_struct(options, size, read_character_options(nullptr));
}

aplomb_status aplomb_character_open(const char* path, const aplomb_character_options* options,
                                    aplomb_character** character, aplomb_error* error) {
    if (character != nullptr) *character = nullptr;
    return guarded(error, path != nullptr ? path : "", [&] {
        if (path == nullptr) bad_argument("path", "path is NULL");
        if (character == nullptr) bad_argument("character", "character is NULL; it takes the opened file");
        auto opened = std::make_unique<aplomb_character>();
        opened->path = path;
        const aplomb_character_options read = read_character_options(options);
        settle_character(on_disk(path), read, *opened);
        *character = opened.release();
    });
}

aplomb_status aplomb_character_open_memory(const aplomb_memory_file* file,
                                           const aplomb_character_options* options,
                                           aplomb_character** character, aplomb_error* error) {
    if (character != nullptr) *character = nullptr;
    const char* name = file != nullptr && file->name != nullptr ? file->name : "";
    return guarded(
        error, name,
        [&] {
            if (file == nullptr) bad_argument("file", "file is NULL");
            if (file->bytes == nullptr) bad_argument("bytes", "bytes is NULL");
            if (character == nullptr)
                bad_argument("character", "character is NULL; it takes the opened file");
            auto opened = std::make_unique<aplomb_character>();
            opened->path = name;
            const aplomb_character_options read = read_character_options(options);
            settle_character(in_memory(*file), read, *opened);
            *character = opened.release();
        },
        "bytes");
}

void aplomb_character_close(aplomb_character* character) {
    delete character;
}

const aplomb_figure* aplomb_character_figure(const aplomb_character* character) {
    return character != nullptr ? character->figure.get() : nullptr;
}

const char* aplomb_character_source_text(aplomb_source source) {
    switch (source) {
    case APLOMB_SOURCE_STANDARD:
        return "file standard";
    case APLOMB_SOURCE_GIVEN:
        return "given";
    case APLOMB_SOURCE_SHAPE:
        return "from the shape";
    case APLOMB_SOURCE_MOTION:
        return "from the motion";
    default:
        return "assumed";
    }
}

void aplomb_character_info_init(aplomb_character_info* info, size_t size) {
    aplomb::init_struct(info, size, aplomb_character_info{});
}

aplomb_status aplomb_character_describe(const aplomb_character* character, aplomb_character_info* info,
                                        aplomb_error* error) {
    return guarded(error, character != nullptr ? character->path.c_str() : "", [&] {
        if (character == nullptr) bad_argument("character", "character is NULL");
        aplomb_character_info full = read_struct(info, "info");
        const Orientation& found = character->orientation;
        full.up_axis = found.up.value, full.up_source = found.up.source, full.up_why = found.up.why.c_str();
        full.forward_axis = found.forward.value, full.forward_source = found.forward.source;
        full.forward_why = found.forward.why.c_str();
        full.stand_clip = found.stand.value, full.stand_source = found.stand.source;
        full.stand_seconds = found.stand_seconds, full.stand_why = found.stand.why.c_str();
        full.metres_per_unit = character->description.metres_per_unit;
        full.unit_source = character->unit.source, full.unit_why = character->unit.why.c_str();
        full.remark_count = static_cast<int32_t>(character->remarks.size());
        write_struct(info, full);
    });
}

const char* aplomb_character_remark(const aplomb_character* character, int32_t index) {
    const bool found =
        character != nullptr && index >= 0 && static_cast<std::size_t>(index) < character->remarks.size();
    return found ? character->remarks[static_cast<std::size_t>(index)].c_str() : nullptr;
}

int32_t aplomb_character_clip_count(const aplomb_character* character) {
    return character != nullptr ? character->file->clip_count() : 0;
}

const char* aplomb_character_clip_name(const aplomb_character* character, int32_t clip) {
    return has_clip(character, clip) ? character->file->clip_name(clip).c_str() : nullptr;
}

int32_t aplomb_character_find_clip(const aplomb_character* character, const char* name) {
    if (character == nullptr || name == nullptr) return -1;
    for (int32_t clip = 0; clip < character->file->clip_count(); ++clip)
        if (character->file->clip_name(clip) == name) return clip;
    // A text that is longer than any number is not one. Nothing is allocated, so no exception has to be caught.
    int32_t number = 0;
    const std::size_t length = std::strlen(name);
    if (length == 0 || length > 9) return -1;
    for (std::size_t i = 0; i < length; ++i) {
        if (name[i] < '0' || name[i] > '9') return -1;
        number = number * 10 + (name[i] - '0');
    }
    return has_clip(character, number) ? number : -1;
}

int32_t aplomb_character_stances(const aplomb_character* character, int32_t clip, aplomb_stance_range* ranges,
                                 int32_t capacity) {
    if (!has_clip(character, clip)) return 0;
    int32_t count = 0;
    for (const GivenStance& given : character->stances) {
        if (given.clip != clip) continue;
        if (ranges != nullptr && count < capacity) ranges[count] = given.range;
        ++count;
    }
    return count;
}

int32_t aplomb_character_key_times(const aplomb_character* character, int32_t clip, double* seconds,
                                   int32_t capacity) {
    if (!has_clip(character, clip)) return 0;
    const std::vector<double>& times = character->file->key_times(clip);
    const auto count = std::min(times.size(), static_cast<std::size_t>(std::max(capacity, 0)));
    if (seconds != nullptr) std::copy_n(times.begin(), count, seconds);
    return static_cast<int32_t>(times.size());
}

aplomb_status aplomb_character_pose(const aplomb_character* character, int32_t clip, double seconds,
                                    double* translations, double* rotations, aplomb_error* error) {
    return guarded(error, character != nullptr ? character->path.c_str() : "", [&] {
        check_moment(character, clip, seconds, translations, rotations);
        const Pose pose = character->file->pose(clip, seconds);
        check_finite(*character, pose);
        put_translations(pose, translations);
        put_rotations(pose, rotations);
    });
}

aplomb_status aplomb_character_mesh(const aplomb_character* character, aplomb_mesh* mesh,
                                    aplomb_error* error) {
    return guarded(error, character != nullptr ? character->path.c_str() : "", [&] {
        const Skin& skin = skin_of(character);
        if (mesh == nullptr) bad_argument("mesh", "mesh is NULL");
        *mesh = {static_cast<int32_t>(skin.bound.size()), static_cast<int32_t>(skin.triangles.size() / 3),
                 skin.triangles.data()};
    });
}

aplomb_status aplomb_character_skin(const aplomb_character* character, const double* translations,
                                    const double* rotations, double* positions, aplomb_error* error) {
    return guarded(error, character != nullptr ? character->path.c_str() : "", [&] {
        const Skin& skin = skin_of(character);
        check_moment(character, -1, 0, translations, rotations);
        if (positions == nullptr) bad_argument("positions", "positions is NULL");
        const Pose pose = read_pose(*character->file, translations, rotations, "");
        for (const Vec3& place : skinned(skin, character->file->joints(), pose)) {
            std::copy_n(std::array<double, 3>{place.x, place.y, place.z}.data(), 3, positions);
            positions += 3;
        }
    });
}

int32_t aplomb_character_camera_count(const aplomb_character* character) {
    return character != nullptr ? character->file->camera_count() : 0;
}

aplomb_status aplomb_character_camera(const aplomb_character* character, int32_t camera, int32_t clip,
                                      double seconds, aplomb_camera* result, aplomb_error* error) {
    return guarded(error, character != nullptr ? character->path.c_str() : "", [&] {
        check_clip(character, clip, seconds);
        const int count = character->file->camera_count();
        if (camera < 0 || camera >= count)
            bad_argument("camera",
                         "camera is " + std::to_string(camera) + "; the file has " + std::to_string(count) +
                             (count == 1 ? " camera" : " cameras") + ", counted from 0",
                         camera);
        if (result == nullptr) bad_argument("result", "result is NULL");
        *result = character->file->camera(camera, clip, seconds);
    });
}
