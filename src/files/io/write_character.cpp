// SPDX-License-Identifier: MIT
// aplomb_character_write*: a character with corrected frames, baked or on its own keys, and its description.
#include "io/border.h"
#include "io/bytes.h"
#include "io/character.h"
#include "io/corrected_frames.h"
#include "io/disk.h"
#include "io/near_names.h"
#include "io/own_keys.h"
#include "io/path.h"

#include <algorithm>
#include <map>
#include <optional>

using namespace aplomb;
using namespace aplomb::io;

namespace {

/// Where a character is to be written. A .glb cannot be written as .gltf; other names of the same kind (.vrm) stay what they are.
std::string checked_target(const aplomb_character* character, const char* path) {
    if (character == nullptr) bad_argument("character", "character is NULL");
    if (path == nullptr) bad_argument("path", "path is NULL");
    const std::string wished = lower_case(extension(path));
    const std::string own = lower_case(extension(character->path));
    if (wished == character->extension || (wished == own && !character->path.empty())) return path;
    bad_argument("path", "the character is written as the kind of file that it is: the name must end in " +
                             character->extension);
}

/// The bytes of the file with the frames, as it will lie at `target`; none: in memory.
std::string written(const aplomb_character* character, const aplomb_corrected_frames* given,
                    const std::optional<std::string>& target) {
    const aplomb_corrected_frames frames = read_struct(given, "frames");
    check_clip(character, frames.clip, 0);
    return character->file->rewritten(frames.clip, read_frames(*character->file, frames), target,
                                      frames.layer);
}

/// The legs of a figure, by the number of their limb.
std::map<int, Leg> legs_of(const aplomb_figure* figure) {
    std::map<int, Leg> legs;
    for (int32_t limb = 0; limb < aplomb_figure_limb_count(figure); ++limb) {
        aplomb_limb_info info;
        aplomb_limb_info_init(&info, sizeof info);
        aplomb_figure_limb(figure, limb, &info, nullptr);
        if (info.kind != APLOMB_LEG) continue;
        Leg leg = {limb, info.upper, info.lower, info.end, {{info.end, {}}}};
        for (int p = 0; p < info.sole_point_count; ++p) {
            const double* place = info.sole_points[p];
            leg.points.push_back({info.sole_joint[p], {place[0], place[1], place[2]}});
        }
        legs[limb] = std::move(leg);
    }
    return legs;
}

OwnKeys written_on_own_keys(const aplomb_character* character, const aplomb_corrected_frames* given,
                            const aplomb_stance_range* planted, int32_t planted_count,
                            const std::string& target) {
    constexpr double most_drift = 1e-3; // of the leg
    const aplomb_corrected_frames frames = read_struct(given, "frames");
    check_clip(character, frames.clip, 0);
    if (frames.clip < 0) bad_argument("clip", "clip is -1: the nodes have no keys");
    if (frames.layer != nullptr) bad_argument("layer", "layer is given; keys are those of the clip itself");
    if (planted_count < 0 || (planted_count > 0 && planted == nullptr))
        bad_argument("planted_count", "planted_count is " + std::to_string(planted_count) +
                                          (planted_count < 0 ? "" : ", but there are none"));
    const std::vector<CorrectedFrame> all = read_frames(*character->file, frames);
    for (std::size_t f = 1; f < all.size(); ++f)
        if (!(all[f].seconds > all[f - 1].seconds))
            bad_argument("seconds", "seconds[" + std::to_string(f) + "] is not later than the one before",
                         static_cast<int>(f));
    const std::map<int, Leg> by_limb = legs_of(character->figure.get());
    std::vector<Leg> legs;
    for (const auto& [limb, leg] : by_limb)
        legs.push_back(leg);
    std::vector<Planted> stands;
    for (int r = 0; r < planted_count; ++r) {
        const aplomb_stance_range& range = planted[r];
        if (range.first < 0 || range.last < range.first || range.last >= frames.count)
            bad_argument("planted",
                         "planted[" + std::to_string(r) + "] has frames " + std::to_string(range.first) +
                             " to " + std::to_string(range.last) + "; there are " +
                             std::to_string(frames.count),
                         r);
        if (const auto leg = by_limb.find(range.limb); leg != by_limb.end())
            stands.push_back({leg->second, range.first, range.last});
    }
    aplomb_figure_info info;
    aplomb_figure_info_init(&info, sizeof info);
    aplomb_figure_describe(character->figure.get(), &info, nullptr);
    return on_own_keys(*character->file, frames.clip, all, legs, stands, most_drift * info.leg_length,
                       target);
}

std::string written_description(const aplomb_character* character) {
    if (character == nullptr) bad_argument("character", "character is NULL");
    return write_description(describe_figure(*character->figure, character->description), character->names);
}

} // namespace

void aplomb_corrected_frames_init(aplomb_corrected_frames* frames, size_t size) {
    aplomb::init_struct(frames, size, aplomb_corrected_frames{});
}

aplomb_status aplomb_character_write_frames(const aplomb_character* character,
                                            const aplomb_corrected_frames* frames, const char* path,
                                            aplomb_error* error) {
    return guarded(error, path != nullptr ? path : "", [&] {
        const std::string target = checked_target(character, path);
        replace_file(target, written(character, frames, target));
    });
}

aplomb_status aplomb_character_write_frames_memory(const aplomb_character* character,
                                                   const aplomb_corrected_frames* frames,
                                                   aplomb_take_file take, void* user, aplomb_error* error) {
    return guarded(
        error, "", [&] { hand_over(written(character, frames, std::nullopt), take, user); }, "take");
}

void aplomb_own_keys_init(aplomb_own_keys* own_keys, size_t size) {
    aplomb::init_struct(own_keys, size, aplomb_own_keys{});
}

aplomb_status aplomb_character_write_own_keys(const aplomb_character* character,
                                              const aplomb_corrected_frames* frames,
                                              const aplomb_stance_range* planted, int32_t planted_count,
                                              const char* path, aplomb_own_keys* own_keys,
                                              aplomb_error* error) {
    return guarded(error, path != nullptr ? path : "", [&] {
        const std::string target = checked_target(character, path);
        aplomb_own_keys told{};
        told.struct_size = sizeof told;
        if (own_keys != nullptr) told = read_struct(own_keys, "own_keys");
        const OwnKeys keys = written_on_own_keys(character, frames, planted, planted_count, target);
        replace_file(target, keys.bytes);
        told.added_count = static_cast<int32_t>(keys.added.size());
        told.drift = keys.drift;
        if (told.added != nullptr)
            std::copy_n(keys.added.begin(), std::clamp(told.capacity, 0, told.added_count), told.added);
        const std::size_t joints = character->file->joints().size();
        for (std::size_t f = 0; f < keys.poses.size(); ++f) {
            if (told.translations != nullptr)
                put_translations(keys.poses[f], told.translations + 3 * joints * f);
            if (told.rotations != nullptr) put_rotations(keys.poses[f], told.rotations + 4 * joints * f);
        }
        if (own_keys != nullptr) write_struct(own_keys, told);
    });
}

aplomb_status aplomb_character_write(const aplomb_character* character, int32_t clip, double seconds,
                                     const double* translations, const double* rotations, const char* path,
                                     aplomb_error* error) {
    aplomb_corrected_frames frames;
    aplomb_corrected_frames_init(&frames, sizeof frames);
    frames.clip = clip, frames.count = 1, frames.seconds = &seconds;
    frames.translations = translations, frames.rotations = rotations;
    return aplomb_character_write_frames(character, &frames, path, error);
}

aplomb_status aplomb_character_write_description(const aplomb_character* character, const char* path,
                                                 aplomb_error* error) {
    return guarded(error, path != nullptr ? path : "", [&] {
        if (path == nullptr) bad_argument("path", "path is NULL");
        replace_file(path, written_description(character));
    });
}

aplomb_status aplomb_character_write_description_memory(const aplomb_character* character,
                                                        aplomb_take_file take, void* user,
                                                        aplomb_error* error) {
    return guarded(
        error, "", [&] { hand_over(written_description(character), take, user); }, "take");
}
