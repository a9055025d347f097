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
constexpr double most_below = 2; // times the proportion: skin lower than that is another part's

bool is_on(const Character& character, int32_t joint, aplomb_role role) {
    return character.joint(joint).role == role;
}

Extent extent_of(const Character& character, int32_t joint) {
    if (joint == character.info().hips) return seat_extent;
    return is_on(character, joint, APLOMB_ROLE_SHANK) ? knee_extent : other_extent;
}

/// The skin over one place seen from above: where it is crossed on the way down, and whether from inside.
struct Crossing {
    double below;
    int out; // 1: the surface faces down; -1: up
};

/// The skin in the moment's pose, measured from a point, as the hips face.
class Skin {
public:
    Skin(const Character& character, const Moment& moment, const Places& places, const Vec3& from) {
        if (aplomb_character_mesh(character.handle(), &m_mesh, nullptr) != APLOMB_OK) return;
        std::vector<double> world(3 * static_cast<size_t>(m_mesh.vertex_count));
        aplomb_error error{};
        check(aplomb_character_skin(character.handle(), moment.translations.data(), moment.rotations.data(),
                                    world.data(), &error),
              error);
        for (size_t i = 0; i < world.size(); i += 3) {
            const Vec3 d = Vec3{world[i], world[i + 1], world[i + 2]} - from;
            m_vertices.push_back({dot(d, places.left), -dot(d, places.up), dot(d, places.forward)});
        }
    }

    /// How far below this place its body ends, closed pieces that overlap taken as one; 0: it is not in a body.
    double end_below(double across, double along) const {
        std::vector<Crossing> crossings;
        for (int32_t t = 0; t < m_mesh.triangle_count && !m_vertices.empty(); ++t)
            add_crossing(t, across, along, crossings);
        std::sort(crossings.begin(), crossings.end(),
                  [](const Crossing& a, const Crossing& b) { return a.below < b.below; });
        int inside = 0; // so many pieces around the place
        for (const Crossing& crossing : crossings)
            inside += crossing.out;
        const int sign = inside < 0 ? -1 : 1; // a mirrored skin is inside out
        for (const Crossing& crossing : crossings) {
            if (sign * inside <= 0) break;
            inside -= crossing.out;
            if (sign * inside <= 0) return crossing.below;
        }
        return 0;
    }

private:
    void add_crossing(int32_t triangle, double across, double along, std::vector<Crossing>& crossings) const {
        Vec3 v[3];
        for (int k = 0; k < 3; ++k) {
            v[k] = m_vertices[static_cast<size_t>(m_mesh.triangles[3 * triangle + k])];
            v[k].x -= across, v[k].z -= along;
        }
        double parts[3], whole = 0; // of the triangle as seen from above, against each corner
        for (int k = 0; k < 3; ++k) {
            const Vec3 &a = v[(k + 1) % 3], &b = v[(k + 2) % 3];
            whole += parts[k] = a.x * b.z - a.z * b.x;
        }
        for (const double part : parts)
            if (part * whole <= 0) return;
        const double below = (parts[0] * v[0].y + parts[1] * v[1].y + parts[2] * v[2].y) / whole;
        if (below > 0) crossings.push_back({below, whole > 0 ? 1 : -1});
    }

    aplomb_mesh m_mesh{};
    std::vector<Vec3> m_vertices; // left, down, forward
};

/// How far below `from` the part's skin ends at its lowest; 0: none is there. A place over another part, such as over the
/// leg of a seat that stands, has nothing near below it and does not count.
double skin_below(const Skin& skin, const Extent& extent) {
    double lowest = 0;
    for (int across = -2; across <= 2; ++across) {
        for (int along = -2; along <= 2; ++along) {
            const double below = skin.end_below(0.5 * across * extent.across, 0.5 * along * extent.along);
            if (below <= most_below * extent.below) lowest = std::max(lowest, below);
        }
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

Patch find_patch(const Character& character, const Moment& moment, int32_t joint,
                 std::optional<double> below) {
    const aplomb_figure_info info = character.info();
    const Places places(character, moment.translations.data(), moment.rotations.data());
    const Vec3 middle = middle_of(character, places, joint);
    Extent extent = extent_of(character, joint);
    for (double* part : {&extent.below, &extent.across, &extent.along})
        *part *= info.leg_length;
    double depth = extent.below;
    Patch patch{{}, "by proportion"};
    if (below) {
        depth = *below / info.metres_per_unit;
        patch.found = "as given";
    } else if (const double found = skin_below(Skin(character, moment, places, middle), extent); found > 0) {
        depth = found;
        patch.found = "by its skin";
    }
    size_t next = 0;
    for (const auto& [across, along] :
         {std::pair{-1, -1}, std::pair{1, -1}, std::pair{1, 1}, std::pair{-1, 1}}) {
        const Vec3 corner = middle - places.up * depth + places.left * (across * extent.across) +
                            places.forward * (along * extent.along);
        const Vec3 own = places.in_joint(joint, corner);
        for (const double x : {own.x, own.y, own.z})
            patch.points[next++] = x;
    }
    return patch;
}

} // namespace aplomb::cli
