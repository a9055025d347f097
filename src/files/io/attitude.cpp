// SPDX-License-Identifier: MIT
#include "io/attitude.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace aplomb::io {
namespace {

// Cosines and parts by eye; strides and easy poses pass, crouching, crawling and lying do not.
constexpr double legs_upright = 0.82, trunk_upright = 0.64;
constexpr double straight_two = 0.75, straight_four = 0.6;
constexpr double legs_lie = 0.5, trunk_lying = 0.25, legs_folded = 0.3;
constexpr double tail_weighs_up = -0.6;

Vec3 unit_or_zero(const Vec3& v) {
    const double length = norm(v);
    return length > 0 ? v / length : Vec3{};
}

Vec3 mean(const World& world, const std::vector<int>& joints) {
    Vec3 sum;
    for (const int joint : joints)
        sum += world.at(joint);
    return joints.empty() ? sum : sum / static_cast<double>(joints.size());
}

double angle_between(const Vec3& a, const Vec3& b) {
    return arctan2(norm(cross(a, b)), dot(a, b));
}

} // namespace

bool World::is_finite() const {
    return std::all_of(places.begin(), places.end(), [](const Vec3& place) {
        const double distance = norm(place);
        return std::isfinite(distance) && distance < 1e12;
    });
}

World world_of(const std::vector<SkeletonJoint>& joints, const Pose& pose) {
    World world;
    for (std::size_t i = 0; i < joints.size(); ++i) {
        if (joints[i].parent < 0) {
            world.places.push_back(pose.translations[i]);
            world.turns.push_back(pose.rotations[i]);
            continue;
        }
        const auto parent = static_cast<std::size_t>(joints[i].parent);
        world.places.push_back(world.places[parent] + rotate(world.turns[parent], pose.translations[i]));
        world.turns.push_back(normalized(world.turns[parent] * pose.rotations[i]));
    }
    return world;
}

Vec3 direction_of(int axis) {
    const double sign = axis < 0 ? -1 : 1;
    switch (std::abs(axis)) {
    case 1:
        return {sign, 0, 0};
    case 2:
        return {0, sign, 0};
    default:
        return {0, 0, sign};
    }
}

int nearest_axis(const Vec3& direction) {
    int best = 2;
    for (const int axis : {1, -1, 3, -3, -2})
        if (dot(direction_of(axis), direction) > dot(direction_of(best), direction)) best = axis;
    return best;
}

Attitude attitude_of(const BodyPlan& plan, const World& world) {
    Attitude result;
    result.four_feet = plan.has_fore_legs();
    Vec3 hips, legs, sum;
    double length = 0;
    for (const PlanLeg& leg : plan.legs) {
        const Vec3 &upper = world.at(leg.upper), &end = world.at(leg.end);
        const Vec3& lower = world.at(leg.lower >= 0 ? leg.lower : leg.end);
        hips += upper;
        legs += upper + lower + end;
        sum += upper - end;
        length += norm(lower - upper) + norm(end - lower);
    }
    if (plan.legs.empty() || !(length > 0)) return result;
    const double count = static_cast<double>(plan.legs.size());
    result.legs = unit_or_zero(sum);
    double reach = 0;
    for (const PlanLeg& leg : plan.legs)
        reach += norm(world.at(leg.upper) - world.at(leg.end));
    result.straight = reach / length;
    if (plan.trunk.empty()) return result;
    result.rise = mean(world, plan.trunk) - legs / (3 * count);
    const Vec3 top = plan.top >= 0 ? world.at(plan.top) : mean(world, plan.trunk);
    if (!result.four_feet && !plan.trunk_lies) result.trunk = unit_or_zero(top - hips / count);
    return result;
}

bool trunk_lies(const BodyPlan& plan, const World& rest) {
    if (plan.tail < 0) return false;
    const Attitude attitude = attitude_of(plan, rest);
    Vec3 hips;
    for (const PlanLeg& leg : plan.legs)
        hips += rest.at(leg.upper) / static_cast<double>(plan.legs.size());
    const Vec3 tail = unit_or_zero(rest.at(plan.tail) - hips);
    return attitude.straight > straight_two && dot(attitude.legs, attitude.trunk) < trunk_upright &&
           dot(attitude.trunk, tail) < tail_weighs_up;
}

bool Attitude::stands(int axis) const {
    const Vec3 up = direction_of(axis);
    const bool trunk_tells = !four_feet && dot(trunk, trunk) > 0;
    return dot(legs, up) > legs_upright && straight > (four_feet ? straight_four : straight_two) &&
           (!trunk_tells || dot(trunk, up) > trunk_upright);
}

int Attitude::standing_axis() const {
    const int axis = nearest_axis(legs);
    return stands(axis) ? axis : 0;
}

bool Attitude::is_no_stand(int up) const {
    const Vec3 along = direction_of(up);
    if (four_feet) return dot(legs, along) < 0;
    const bool trunk_tells = dot(trunk, trunk) > 0;
    return dot(legs, along) < legs_lie || straight < legs_folded ||
           (trunk_tells && dot(trunk, along) < trunk_lying);
}

Vec3 facing_of(const BodyPlan& plan, const World& world, const Vec3& up) {
    const PlanLeg *first = nullptr, *other = nullptr;
    if (!plan.pair(&first, &other)) return {};
    const Vec3 legs = world.at(first->upper) - world.at(first->end);
    for (const auto joint : {&PlanLeg::upper, &PlanLeg::end}) {
        const Vec3 left = reject(world.at(first->*joint) - world.at(other->*joint), up);
        if (norm(left) > 1e-3 * norm(legs)) return normalized(cross(left, up));
    }
    return {};
}

double unrest_of(const BodyPlan& plan, const World& world, int up_axis) {
    const Vec3 up = direction_of(up_axis);
    const auto square = [](double v) { return v * v; };
    const Attitude attitude = attitude_of(plan, world);
    double sum = dot(attitude.trunk, attitude.trunk) > 0 ? square(angle_between(attitude.trunk, up)) : 0;
    double length = 0, highest = -1e300, lowest = 1e300;
    for (const PlanLeg& leg : plan.legs) {
        const Vec3 way = world.at(leg.upper) - world.at(leg.end);
        sum += norm(way) > 0 ? square(angle_between(way, up)) : 1;
        length += norm(way) / static_cast<double>(plan.legs.size());
        highest = std::max(highest, dot(world.at(leg.end), up));
        lowest = std::min(lowest, dot(world.at(leg.end), up));
    }
    sum += square(4 * (1 - attitude.straight));
    if (length > 0) sum += square((highest - lowest) / length); // one foot lifted
    const PlanLeg *first = nullptr, *other = nullptr;
    if (plan.pair(&first, &other)) {
        const Vec3 hips = world.at(first->upper) - world.at(other->upper);
        if (norm(hips) > 0) sum += square(dot(hips, up) / norm(hips));
        if (plan.shoulders[0] >= 0 && norm(hips) > 0) { // twisted, either way round
            const Vec3 a = reject(hips, up),
                       b = reject(world.at(plan.shoulders[0]) - world.at(plan.shoulders[1]), up);
            const double sine = norm(cross(a, b)), size = norm(a) * norm(b);
            if (size > 0) sum += square(sine / size);
        }
    }
    return sum;
}

} // namespace aplomb::io
