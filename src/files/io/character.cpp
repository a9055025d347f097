// SPDX-License-Identifier: MIT
// aplomb_character_*: the C border of the file library. Faults and exceptions end here.
#include "aplomb/files.h"

#include "base/structs.h"
#include "io/beside.h"
#include "io/bvh_character.h"
#include "io/bytes.h"
#include "io/corrected_frames.h"
#include "io/disk.h"
#include "io/fault.h"
#include "io/figure_from_file.h"
#include "io/gltf_character.h"
#include "io/manner.h"
#include "io/near_names.h"
#include "io/orientation.h"
#include "io/own_keys.h"
#include "io/path.h"
#include "io/skin.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstring>
#include <new>
#include <optional>

using namespace aplomb;
using namespace aplomb::io;

namespace {
struct GivenStance {
    int32_t clip;
    aplomb_stance_range range;
};
} // namespace

struct aplomb_character {
    std::string path;      // of a file in memory its name, which may be empty
    std::string extension; // lower case, that of the file's kind
    std::unique_ptr<CharacterFile> file;
    std::vector<std::string> names;
    Description description; // the one that the figure was made from
    Orientation orientation;
    Found unit; // value unused: it is in the description
    std::vector<std::string> remarks;
    FigurePointer figure;
    std::vector<GivenStance> stances; // of the description
};

namespace {

constexpr double assumed_stature = 1.70; // metres, of a BVH figure without a unit (common practice)
constexpr double plausible_low = 0.3, plausible_high = 3.0; // metres

void copy_text(char* target, std::size_t size, const std::string& text) {
    std::size_t length = std::min(text.size(), size - 1);
    while (length > 0 && length < text.size() && (static_cast<unsigned char>(text[length]) & 0xC0u) == 0x80u)
        --length;
    std::memcpy(target, text.data(), length);
    target[length] = '\0';
}

aplomb_status report(aplomb_error* error, const Fault& fault, const std::string& path,
                     const std::string& argument) {
    if (error == nullptr) return fault.status;
    const std::string& file = fault.file.empty() ? path : fault.file;
    std::string message = fault.message;
    if (!file.empty() && message.find("'" + file + "'") == std::string::npos)
        message = "'" + file + "': " + message;
    if (!message.empty() && message.back() != '.') message += '.';
    if (!path.empty() && fault.status == APLOMB_BAD_FIGURE &&
        (fault.field == "names" || fault.field == "roles"))
        message +=
            " Roles stand in a figure description beside the file, '" + file_name(path) + ".figure.json'.";
    // Paths and URIs need not be UTF-8; what is shown must be.
    if (!is_utf8(message))
        for (char& c : message)
            if (static_cast<unsigned char>(c) >= 0x80) c = '?';
    error->status = fault.status;
    error->index = fault.index;
    copy_text(error->field, sizeof error->field, fault.field == "path" ? argument : fault.field);
    copy_text(error->message, sizeof error->message, message);
    return fault.status;
}

std::string shown(double value) {
    char text[32];
    std::snprintf(text, sizeof text, "%g", value);
    return text;
}

/// Without memory for the sentence not even the path is named.
aplomb_status report_no_memory(aplomb_error* error, const char* argument) {
    if (error != nullptr) {
        error->status = APLOMB_OUT_OF_MEMORY;
        error->index = -1;
        std::strcpy(error->field, argument);
        std::strcpy(error->message, "Out of memory.");
    }
    return APLOMB_OUT_OF_MEMORY;
}

/// Runs one entry point; whatever is thrown becomes a status, also where telling it takes memory that is not there.
/// `argument`: which one the file is.
template<class Body>
aplomb_status guarded(aplomb_error* error, const char* path, Body body, const char* argument = "path") {
    try {
        try {
            body();
            return APLOMB_OK;
        } catch (const Fault& fault) {
            return report(error, fault, path, argument);
        } catch (const std::bad_alloc&) {
            throw;
        } catch (const std::exception& problem) {
            return report(error, {APLOMB_BAD_FILE, problem.what(), "path"}, path, argument);
        }
    } catch (const std::bad_alloc&) {
        return report_no_memory(error, argument);
    }
}

void check_options(const aplomb_options* options) {
    if (options == nullptr) bad_argument("options", "options is NULL");
    if (options->struct_size != sizeof *options)
        throw Fault{APLOMB_WRONG_VERSION,
                    "options: struct_size is " + std::to_string(options->struct_size) +
                        "; this library knows " + std::to_string(sizeof *options) +
                        ". Set it up with aplomb_options_init",
                    "options"};
}

aplomb_character_options default_options() {
    aplomb_character_options options{};
    options.struct_size = sizeof options;
    options.mass_table = -1;
    return options;
}

aplomb_character_options read_options(const aplomb_character_options* given) {
    aplomb_character_options options = default_options();
    if (given == nullptr) return options;
    if (given->struct_size < sizeof(uint32_t) || given->struct_size > sizeof options)
        throw Fault{APLOMB_WRONG_VERSION,
                    "options: struct_size is " + std::to_string(given->struct_size) +
                        "; this library knows up to " + std::to_string(sizeof options) +
                        ". Set it up with aplomb_character_options_init",
                    "options"};
    std::memcpy(&options, given, given->struct_size);
    const auto length = [](const char* name, double value) {
        if (!std::isfinite(value) || value < 0)
            bad_argument(name, std::string(name) + " is " + shown(value) + "; it must be 0 or more");
    };
    length("metres_per_unit", options.metres_per_unit);
    length("stature", options.stature);
    length("total_mass", options.total_mass);
    const auto axis = [](const char* name, int32_t value) {
        if (value < -3 || value > 3)
            bad_argument(name, std::string(name) + " is " + std::to_string(value) +
                                   "; it must be an aplomb_axis, or 0 for the file's own");
    };
    axis("up_axis", options.up_axis);
    axis("forward_axis", options.forward_axis);
    length("stand_seconds", options.stand_seconds);
    if (options.mass_table < -1 || options.mass_table > APLOMB_MASS_SKIN)
        bad_argument("mass_table", "mass_table is " + std::to_string(options.mass_table) +
                                       "; it must be an aplomb_mass_table or -1");
    return options;
}

/// A character file that is about to be opened.
struct Source {
    std::string bytes;
    Beside beside;           // what its URIs name
    Beside description_in;   // what a figure description's name is looked for in
    std::string description; // its usual name; empty: none
};

/// Chooses the reader by the first bytes, whatever the file's name is.
std::unique_ptr<CharacterFile> open_file(Source& source, const char* skin, std::string& extension) {
    std::string& bytes = source.bytes;
    const std::size_t start = bytes.find_first_not_of("\xEF\xBB\xBF \t\r\n");
    const std::string head = start == std::string::npos ? "" : lower_case(bytes.substr(start, 9));
    if (head == "hierarchy") {
        extension = ".bvh";
        return std::make_unique<BvhCharacter>(std::move(bytes));
    }
    const bool binary = bytes.substr(0, 4) == "glTF";
    if (!binary && (head.empty() || head[0] != '{')) refuse("it is neither glTF 2.0 nor BVH");
    extension = binary ? ".glb" : ".gltf";
    return open_gltf(std::move(bytes), source.beside, skin != nullptr ? skin : "");
}

Description open_description(const Source& source, const char* wished,
                             const std::vector<std::string>& names) {
    const std::string path = wished != nullptr ? wished : source.description;
    Description none;
    none.joints.resize(names.size());
    if (wished == nullptr && (path.empty() || !source.description_in.has(path))) return none;
    try {
        return read_description(source.description_in.read(path), names);
    } catch (Fault& fault) {
        fault.file = path;
        fault.field = "description";
        throw;
    }
}

/// What the caller asks for beats the description, which beats what the character itself shows.
void settle_orientation(const aplomb_character_options& options, aplomb_character& character) {
    Description& description = character.description;
    if (options.up_axis != 0) description.up = options.up_axis;
    if (options.forward_axis != 0) description.forward = options.forward_axis;
    if (options.stand_clip != nullptr) {
        const std::string clip = options.stand_clip;
        description.stand = {clip == "none" ? "" : clip, options.stand_seconds};
    }
    character.orientation = find_orientation(*character.file, description);
    const Orientation& found = character.orientation;
    description.up = found.up.value;
    description.forward = found.forward.value;
    for (std::size_t i = 0; i < found.sides.size(); ++i)
        if (description.joints[i].side == APLOMB_SIDE_FROM_NAME) description.joints[i].side = found.sides[i];
    character.remarks = character.file->remarks();
    character.remarks.insert(character.remarks.end(), found.remarks.begin(), found.remarks.end());
}

/// A BVH unit from the stature wished for, or such that the figure is of a plausible size.
void settle_bvh_unit(double wished_stature, aplomb_character& character) {
    Description& description = character.description;
    description.metres_per_unit = 1;
    character.unit = {0, APLOMB_SOURCE_ASSUMED, "a metre, as the shape does not tell the stature"};
    const double stature = stature_of(*make_figure(*character.file, description, character.orientation.pose));
    if (!(stature > 0)) return;
    if (wished_stature > 0) {
        description.metres_per_unit = wished_stature / stature;
        character.unit = {0, APLOMB_SOURCE_GIVEN, "from the stature that is given"};
    } else if (stature < plausible_low || stature > plausible_high) {
        description.metres_per_unit = assumed_stature / stature;
        character.unit = {0, APLOMB_SOURCE_ASSUMED,
                          "such that the figure is " + shown(assumed_stature) + " m tall (common practice)"};
    } else {
        character.unit = {0, APLOMB_SOURCE_SHAPE, "a metre, as that makes a likely stature"};
    }
}

void settle_unit(const aplomb_character_options& options, aplomb_character& character) {
    double& unit = character.description.metres_per_unit;
    const bool bvh = character.extension == ".bvh";
    if (options.metres_per_unit > 0) {
        unit = options.metres_per_unit;
        character.unit = {0, APLOMB_SOURCE_GIVEN, "as given"};
    } else if (bvh && (options.stature > 0 || unit == 0)) {
        settle_bvh_unit(options.stature, character);
    } else if (unit > 0) {
        character.unit = {0, APLOMB_SOURCE_GIVEN, "as given"};
    } else {
        unit = 1;
        character.unit = {0, APLOMB_SOURCE_STANDARD, character.file->standard_name()};
    }
}

/// Names of clips and joints become numbers of clips and limbs.
void settle_stances(aplomb_character& character) {
    const aplomb_figure* figure = character.figure.get();
    for (std::size_t i = 0; i < character.description.stances.size(); ++i) {
        const StanceDescription& given = character.description.stances[i];
        const std::string where = "the description: stance " + std::to_string(i);
        const int32_t clip = aplomb_character_find_clip(&character, given.clip.c_str());
        if (clip < 0) refuse(where + ": the file has no clip '" + given.clip + "'");
        const std::size_t frames = character.file->key_times(clip).size();
        if (static_cast<std::size_t>(given.last) >= frames)
            refuse(where + " goes from frame " + std::to_string(given.first) + " to " +
                   std::to_string(given.last) + "; clip '" + given.clip + "' has frames 0 to " +
                   std::to_string(frames - 1));
        int32_t limb = aplomb_figure_limb_count(figure) - 1;
        for (; limb >= 0; --limb) {
            aplomb_limb_info info;
            aplomb_limb_info_init(&info, sizeof info);
            if (aplomb_figure_limb(figure, limb, &info, nullptr) == APLOMB_OK && info.end == given.joint)
                break;
        }
        if (limb < 0)
            refuse(where + ": joint '" + character.names[static_cast<std::size_t>(given.joint)] +
                   "' ends no limb");
        for (const GivenStance& other : character.stances)
            if (other.clip == clip && other.range.limb == limb && other.range.first <= given.last &&
                given.first <= other.range.last)
                refuse(where + " overlaps another of the same limb, frames " +
                       std::to_string(other.range.first) + " to " + std::to_string(other.range.last));
        character.stances.push_back({clip, {limb, given.first, given.last, given.footing, 0}});
    }
}

void open_character(Source source, const aplomb_character_options& options, aplomb_character& character) {
    character.file = open_file(source, options.skin, character.extension);
    for (const SkeletonJoint& joint : character.file->joints())
        character.names.push_back(joint.name);
    Description& description = character.description;
    description = open_description(source, options.description, character.names);
    settle_orientation(options, character);
    if (options.total_mass > 0) description.total_mass = options.total_mass;
    if (options.mass_table >= 0) description.mass_table = options.mass_table;
    if (description.mass_table < 0) description.mass_table = APLOMB_MASS_DE_LEVA_MALE;
    settle_unit(options, character);
    character.figure = make_figure(*character.file, description, character.orientation.pose);
    settle_stances(character);
}

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

/// A .glb cannot be written as .gltf; other names of the same kind (.vrm) stay what they are.
void check_extension(const aplomb_character& character, const std::string& target) {
    const std::string wished = lower_case(extension(target));
    const std::string own = lower_case(extension(character.path));
    if (wished == character.extension || (wished == own && !character.path.empty())) return;
    bad_argument("path", "the character is written as the kind of file that it is: the name must end in " +
                             character.extension);
}

/// A copy in which members that the caller's version lacks are zero.
template<class T>
T read_struct(const T& given, const std::string& name) {
    T full{};
    if (given.struct_size < sizeof(uint32_t) || given.struct_size > sizeof full)
        throw Fault{APLOMB_WRONG_VERSION,
                    name + ": struct_size is " + std::to_string(given.struct_size) +
                        "; this library knows up to " + std::to_string(sizeof full) +
                        ". Set it up with aplomb_" + (name == "frames" ? "corrected_frames" : name) + "_init",
                    name};
    std::memcpy(static_cast<void*>(&full), &given, given.struct_size);
    return full;
}

aplomb_corrected_frames read_frame_list(const aplomb_corrected_frames* given) {
    if (given == nullptr) bad_argument("frames", "frames is NULL");
    return read_struct(*given, "frames");
}

/// The bytes of the file with the frames, as it will lie at `target`; none: in memory.
std::string written(const aplomb_character* character, const aplomb_corrected_frames* given,
                    const std::optional<std::string>& target) {
    const aplomb_corrected_frames frames = read_frame_list(given);
    check_clip(character, frames.clip, 0);
    return character->file->rewritten(frames.clip, read_frames(*character->file, frames), target,
                                      frames.layer);
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
    const aplomb_corrected_frames frames = read_frame_list(given);
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
    aplomb::init_struct(options, size, default_options());
}

aplomb_status aplomb_character_open(const char* path, const aplomb_character_options* options,
                                    aplomb_character** character, aplomb_error* error) {
    if (character != nullptr) *character = nullptr;
    return guarded(error, path != nullptr ? path : "", [&] {
        if (path == nullptr) bad_argument("path", "path is NULL");
        if (character == nullptr) bad_argument("character", "character is NULL; it takes the opened file");
        auto opened = std::make_unique<aplomb_character>();
        opened->path = path;
        const aplomb_character_options read = read_options(options);
        open_character(on_disk(path), read, *opened);
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
            const aplomb_character_options read = read_options(options);
            open_character(in_memory(*file), read, *opened);
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
        if (info == nullptr) bad_argument("info", "info is NULL");
        aplomb_character_info full{};
        if (info->struct_size < sizeof(uint32_t) || info->struct_size > sizeof full)
            throw Fault{APLOMB_WRONG_VERSION,
                        "info: struct_size is " + std::to_string(info->struct_size) +
                            "; this library knows up to " + std::to_string(sizeof full) +
                            ". Set it up with aplomb_character_info_init",
                        "info"};
        const Orientation& found = character->orientation;
        full.struct_size = info->struct_size;
        full.up_axis = found.up.value, full.up_source = found.up.source, full.up_why = found.up.why.c_str();
        full.forward_axis = found.forward.value, full.forward_source = found.forward.source;
        full.forward_why = found.forward.why.c_str();
        full.stand_clip = found.stand.value, full.stand_source = found.stand.source;
        full.stand_seconds = found.stand_seconds, full.stand_why = found.stand.why.c_str();
        full.metres_per_unit = character->description.metres_per_unit;
        full.unit_source = character->unit.source, full.unit_why = character->unit.why.c_str();
        full.remark_count = static_cast<int32_t>(character->remarks.size());
        std::memcpy(static_cast<void*>(info), &full, full.struct_size);
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

void aplomb_corrected_frames_init(aplomb_corrected_frames* frames, size_t size) {
    aplomb::init_struct(frames, size, aplomb_corrected_frames{});
}

aplomb_status aplomb_character_write_frames(const aplomb_character* character,
                                            const aplomb_corrected_frames* frames, const char* path,
                                            aplomb_error* error) {
    return guarded(error, path != nullptr ? path : "", [&] {
        if (character == nullptr) bad_argument("character", "character is NULL");
        if (path == nullptr) bad_argument("path", "path is NULL");
        const std::string target = path;
        check_extension(*character, target);
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
        if (character == nullptr) bad_argument("character", "character is NULL");
        if (path == nullptr) bad_argument("path", "path is NULL");
        const std::string target = path;
        check_extension(*character, target);
        aplomb_own_keys told{};
        told.struct_size = sizeof told;
        if (own_keys != nullptr) told = read_struct(*own_keys, "own_keys");
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
        if (own_keys != nullptr) std::memcpy(static_cast<void*>(own_keys), &told, told.struct_size);
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

aplomb_status aplomb_manner_read(const char* path, aplomb_options* options, aplomb_error* error) {
    return guarded(error, path != nullptr ? path : "", [&] {
        if (path == nullptr) bad_argument("path", "path is NULL");
        check_options(options);
        aplomb_options set = *options;
        read_manner(read_file(path), set);
        *options = set;
    });
}

aplomb_status aplomb_manner_write(const char* path, const aplomb_options* options, const char* note,
                                  aplomb_error* error) {
    return guarded(error, path != nullptr ? path : "", [&] {
        if (path == nullptr) bad_argument("path", "path is NULL");
        check_options(options);
        replace_file(path, write_manner(*options, note != nullptr ? note : ""));
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
