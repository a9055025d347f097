// SPDX-License-Identifier: MIT
#include "reading/reads_as.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace aplomb {
namespace {

constexpr double nothing = 0.02; // of the body's mass: below it a load reads as none (common practice)
constexpr double infinite = std::numeric_limits<double>::infinity();
constexpr double rounding = 1e-9; // metres; an area without breadth is still met

/// Home fore and aft, the middle between the outermost contacts sideways.
Vec2 natural_point(const Support& support, const Aim& aim) {
    double least = infinite, most = -infinite;
    for (int i = 0; i < support.home_area.count; ++i) {
        least = std::min(least, support.home_area.corner[i].left);
        most = std::max(most, support.home_area.corner[i].left);
    }
    return {aim.home.fore, 0.5 * (least + most)};
}

} // namespace

Bearer bearer_of(const Key& s, int load) {
    const double pressing_of_one = -dot(s.ground.normal, s.ground.felt);
    double mass = -s.body_pressing.normal_force / pressing_of_one;
    Vec2 moment; // about the body's own point
    for (int i = 0; i < s.load_count; ++i) {
        if (i == load) continue;
        mass += s.load[i].mass;
        moment = moment + (s.ground.project(s.load[i].centre) - s.body_point) * s.load[i].mass;
    }
    return {s.body_point + moment * (1.0 / mass), mass, s.ground.project(s.load[load].centre)};
}

MassRange masses_inside(const Bearer& bearer, const Area& area) {
    MassRange range = {0, infinite};
    const MassRange none = {infinite, 0};
    for (int i = 0; i < area.edge_count; ++i) {
        const double bound = area.offset[i] + rounding;
        const double beyond = dot(area.normal[i], bearer.load_point) - bound;
        const double room = bearer.mass * (bound - dot(area.normal[i], bearer.point));
        if (beyond > 0) range.highest = std::min(range.highest, room / beyond);
        if (beyond < 0) range.lowest = std::max(range.lowest, room / beyond);
        if (beyond == 0 && room < 0) return none;
    }
    return range.empty() ? none : range;
}

double mass_towards(const Bearer& bearer, const Vec2& target, const MassRange& range) {
    if (range.empty()) return std::numeric_limits<double>::quiet_NaN();
    const Vec2 to_load = bearer.load_point - bearer.point;
    const double length2 = dot(to_load, to_load);
    const double part = length2 > 0 ? std::max(0.0, dot(target - bearer.point, to_load) / length2) : 0.0;
    const double mass = part < 1 ? bearer.mass * part / (1 - part) : infinite;
    return std::clamp(mass, range.lowest, range.highest);
}

ReadsAs read_load(const Figure& figure, const Key& s, const Support& support, const Area& zone,
                  const Aim& aim, bool corrected, int load) {
    const Bearer bearer = bearer_of(s, load);
    ReadsAs reading;
    reading.stands = masses_inside(bearer, support.area), reading.rests = masses_inside(bearer, zone);
    reading.natural = mass_towards(bearer, natural_point(support, aim), reading.stands);
    if (std::isless(reading.natural, nothing * figure.total_mass)) reading.natural = 0;
    reading.countered = corrected ? mass_towards(bearer, aim.rest_point, reading.stands)
                                  : std::numeric_limits<double>::quiet_NaN();
    const bool over_feet = margin_of(support.area, bearer.load_point) > -support.margin_asked;
    reading.tells = !over_feet && !(reading.stands.highest == infinite);
    return reading;
}

} // namespace aplomb
