// SPDX-License-Identifier: MIT
#include "io/settle_character.h"

#include "io/border.h"
#include "io/bvh_character.h"
#include "io/bytes.h"
#include "io/gltf_character.h"
#include "io/near_names.h"

#include <cmath>
#include <cstdio>

namespace aplomb::io {
namespace {

constexpr double assumed_stature = 1.70; // metres, of a BVH figure without a unit (common practice)
constexpr double plausible_low = 0.3, plausible_high = 3.0; // metres

std::string shown(double value) {
    char text[32];
    std::snprintf(text, sizeof text, "%g", value);
    return text;
}

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

} // namespace

aplomb_character_options read_character_options(const aplomb_character_options* given) {
    aplomb_character_options options{};
    options.struct_size = sizeof options;
    options.mass_table = -1;
    if (given == nullptr) return options;
    options = read_struct(given, "options", options);
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

void settle_character(Source source, const aplomb_character_options& options, aplomb_character& character) {
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

} // namespace aplomb::io
