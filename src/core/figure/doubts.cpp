// SPDX-License-Identifier: MIT
// Sizes and proportions that betray a unit wrong by a hundred, a limb put together wrongly or a missing sole: common
// practice.
#include <algorithm>

#include "figure/foot_shape.h"
#include "figure/frame.h"
#include "figure/steps.h"

namespace aplomb {
namespace {

constexpr double least_stature = 0.2, most_stature = 5; // metres
constexpr double least_density = 4, most_density = 60;  // kg over the cube of stature or length, m3
constexpr double most_uneven = 5;                       // one span of a limb over the other

struct Unit {
    const char* name;
    double metres;
};
constexpr Unit units[] = {
    {"millimetres", 0.001}, {"centimetres", 0.01}, {"inches", 0.0254}, {"feet", 0.3048}, {"metres", 1}};

/// How many times too large or too small a person would be.
double misfit(double stature) {
    constexpr double person = 1.7;
    return std::max(stature / person, person / stature);
}

void doubt_size(Draft& draft) {
    const double stature = draft.figure.stature;
    if (stature >= least_stature && stature <= most_stature) return;
    const double length = stature / draft.desc.metres_per_unit; // in the file's unit
    const Unit* best = units;
    for (const Unit& unit : units)
        if (misfit(length * unit.metres) < misfit(length * best->metres)) best = &unit;
    const double fitting = length * best->metres;
    if (fitting >= least_stature && fitting <= most_stature) {
        draft.doubt(APLOMB_DOUBT_SIZE,
                    "The figure is %.*g m tall: if it is not, give its unit; metres_per_unit is %g, in %s "
                    "it would be %g.",
                    mass_digits(stature), stature, draft.desc.metres_per_unit, best->name, best->metres);
        return;
    }
    double power = draft.desc.metres_per_unit, tall = stature;
    for (; tall < least_stature; tall *= 10)
        power *= 10;
    for (; tall > most_stature; tall /= 10)
        power /= 10;
    draft.doubt(APLOMB_DOUBT_SIZE,
                "The figure is %.*g m tall: if it is not, give its unit; metres_per_unit is %g, with %g it "
                "would be %.3g m tall.",
                mass_digits(stature), stature, draft.desc.metres_per_unit, power, tall);
}

/// The distance from the hindmost to the foremost point at rest.
double length_of(const Draft& draft) {
    double back = 1e300, front = -1e300;
    const auto add = [&](const Vec3& place) {
        back = std::min(back, place.z), front = std::max(front, place.z);
    };
    for (int32_t j = 0; j < draft.figure.joint_count; ++j) {
        if (!is_within(draft.figure, j, draft.figure.hips)) continue;
        add(draft.rest[j].position);
        if (draft.has_tip[j]) add(to_world(draft.rest[j], draft.figure.joints[j].tip));
    }
    const aplomb_skin* skin = draft.desc.skin;
    for (int32_t v = 0; skin && v < skin->vertex_count; ++v) {
        const double* p = skin->positions + 3 * static_cast<size_t>(v);
        add(length_in(draft.figure.frame, {p[0], p[1], p[2]}));
    }
    return front - back;
}

void doubt_mass(Draft& draft) {
    const Figure& figure = draft.figure;
    const bool long_body = is_quadruped(figure);
    const double size = long_body ? length_of(draft) : figure.stature;
    if (!(size > 0)) return;
    const double density = figure.total_mass / (size * size * size);
    if (density >= least_density && density <= most_density) return;
    draft.doubt(
        APLOMB_DOUBT_MASS,
        "The body's mass, %.*g kg, is %.*g kg over the cube of its %s, %.3g m, where %.3g to %.3g are "
        "usual: if it is not so, give total_mass, or metres_per_unit.",
        mass_digits(figure.total_mass), figure.total_mass, mass_digits(density), density,
        long_body ? "length" : "stature", size, least_density, most_density);
}

void doubt_spans(Draft& draft) {
    const Figure& figure = draft.figure;
    for (int32_t i = 0; i < figure.limb_count; ++i) {
        const Limb& limb = figure.limbs[i];
        const double upper = norm(draft.rest[limb.lower].position - draft.rest[limb.upper].position);
        const double lower = norm(draft.rest[limb.end].position - draft.rest[limb.lower].position);
        if (std::max(upper, lower) < most_uneven * std::min(upper, lower)) continue;
        draft.doubt(
            APLOMB_DOUBT_LIMB,
            "Of the limb '%s', '%s', '%s' one span is %.3g times as long as the other: if they are not "
            "its joints, give theirs in roles.",
            figure.joints[limb.upper].name, figure.joints[limb.lower].name, figure.joints[limb.end].name,
            std::max(upper, lower) / std::min(upper, lower));
    }
}

void doubt_standing(Draft& draft) {
    const Figure& figure = draft.figure;
    const auto is_leg = [](const Limb& limb) { return limb.kind != APLOMB_ARM; };
    const auto stands = [](const Limb& limb) { return limb.sole.point_count > 0; };
    const Limb *first = figure.limbs, *last = first + figure.limb_count;
    if (std::any_of(first, last, stands)) return;
    draft.doubt(APLOMB_DOUBT_STANDING,
                "The figure cannot stand: no %s was found. Give the joints of its legs their roles%s.",
                std::any_of(first, last, is_leg) ? "sole" : "leg",
                std::any_of(first, last, is_leg) ? ", or give its soles" : "");
}

} // namespace

void find_doubts(Draft& draft) {
    doubt_standing(draft);
    doubt_size(draft);
    doubt_mass(draft);
    doubt_spans(draft);
}

} // namespace aplomb
