// SPDX-License-Identifier: MIT
// A part's thickness under its joint: common practice, from memory.
#include "cli/parts.h"

#include <algorithm>
#include <vector>

#include "cli/failure.h"
#include "cli/place.h"
#include "cli/stance.h"

namespace aplomb::cli {
namespace {

// Of the leg's length: how far the part reaches below its joint, and half its extent on the ground.
struct Extent {
    double below, across, along;
};
constexpr Extent seat_extent = {.11, .14, .08}, knee_extent = {.06, .04, .04}, other_extent = {.04, .03, .03};
constexpr double most_below = 3; // times the proportion: skin lower than that is another part's

bool is_on(const Character& character, int32_t joint, aplomb_role role) {
    return character.joint(joint).role == role;
}

Extent extent_of(const Character& character, int32_t joint) {
    if (joint == character.info().hips) return seat_extent;
    return is_on(character, joint, APLOMB_ROLE_SHANK) ? knee_extent : other_extent;
}

std::vector<double> skin_of(const Character& character, const Moment& moment) {
    aplomb_mesh mesh{};
    if (aplomb_character_mesh(character.handle(), &mesh, nullptr) != APLOMB_OK) return {};
    std::vector<double> skin(3 * static_cast<size_t>(mesh.vertex_count));
    aplomb_error error{};
    check(aplomb_character_skin(character.handle(), moment.translations.data(), moment.rotations.data(),
                                skin.data(), &error),
          error);
    return skin;
}

/// How far the lowest skin in reach of the part's extent is below `from`; 0: there is none.
double skin_below(const std::vector<double>& skin, const Places& places, const Vec3& from,
                  const Extent& extent) {
    double lowest = 0;
    for (size_t i = 0; i + 2 < skin.size(); i += 3) {
        const Vec3 d = Vec3{skin[i], skin[i + 1], skin[i + 2]} - from;
        const double below = -dot(d, places.up);
        if (std::fabs(dot(d, places.left)) > extent.across ||
            std::fabs(dot(d, places.forward)) > extent.along || below > most_below * extent.below)
            continue;
        lowest = std::max(lowest, below);
    }
    return lowest;
}

/// The seat is below the thighs' starts, other parts below their joint.
Vec3 middle_of(const Character& character, const Places& places, int32_t joint) {
    Vec3 sum;
    int count = 0;
    for (int32_t i = 0; joint == character.info().hips && i < character.limb_count(); ++i) {
        const aplomb_limb_info limb = character.limb(i);
        if (limb.kind == APLOMB_LEG) sum += places[limb.upper].position, ++count;
    }
    return count > 0 ? sum / count : places[joint].position;
}

struct Word {
    const char* part;
    aplomb_role role;
    aplomb_side side;
};
constexpr Word words[] = {{"seat", APLOMB_ROLE_HIPS, APLOMB_SIDE_FROM_NAME},
                          {"left-knee", APLOMB_ROLE_SHANK, APLOMB_SIDE_LEFT},
                          {"right-knee", APLOMB_ROLE_SHANK, APLOMB_SIDE_RIGHT},
                          {"left-elbow", APLOMB_ROLE_LOWER_ARM, APLOMB_SIDE_LEFT},
                          {"right-elbow", APLOMB_ROLE_LOWER_ARM, APLOMB_SIDE_RIGHT}};

int32_t joint_of(const Character& character, const Word& word) {
    return word.role == APLOMB_ROLE_HIPS ? character.info().hips
                                         : aplomb_figure_find_role(character.figure(), word.role, word.side);
}

} // namespace

std::string part_word(const Character& character, int32_t limb, int32_t joint) {
    if (limb >= 0) return limb_word(character, limb);
    for (const Word& word : words) {
        if (joint_of(character, word) == joint) return word.part;
    }
    return character.joint_name(joint);
}

int32_t find_part(const Character& character, const std::string& name) {
    for (const Word& word : words) {
        if (name == word.part) return joint_of(character, word);
    }
    return aplomb_figure_find_joint(character.figure(), name.c_str());
}

PatchPoints find_patch(const Character& character, const Moment& moment, int32_t joint,
                       std::optional<double> below) {
    const aplomb_figure_info info = character.info();
    const Places places(character, moment.translations.data(), moment.rotations.data());
    const Vec3 middle = middle_of(character, places, joint);
    Extent extent = extent_of(character, joint);
    for (double* part : {&extent.below, &extent.across, &extent.along})
        *part *= info.leg_length;
    double depth = extent.below;
    if (below) {
        depth = *below / info.metres_per_unit;
    } else if (const double found = skin_below(skin_of(character, moment), places, middle, extent);
               found > 0) {
        depth = found;
    }
    PatchPoints points;
    size_t next = 0;
    for (const auto& [across, along] :
         {std::pair{-1, -1}, std::pair{1, -1}, std::pair{1, 1}, std::pair{-1, 1}}) {
        const Vec3 corner = middle - places.up * depth + places.left * (across * extent.across) +
                            places.forward * (along * extent.along);
        const Vec3 own = places.in_joint(joint, corner);
        points[next++] = own.x, points[next++] = own.y, points[next++] = own.z;
    }
    return points;
}

} // namespace aplomb::cli
