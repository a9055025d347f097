// SPDX-License-Identifier: MIT
#include "io/flat_feet.h"

#include <cmath>

namespace aplomb::io {
namespace {

/// The vector from a joint of the foot to the next one, or to its own end; zero where it has none.
Vec3 span_of(const std::vector<SkeletonJoint>& joints, const World& world, int joint, int next) {
    if (joint < 0) return {};
    if (next >= 0) return world.at(next) - world.at(joint);
    const Vec3& tip = joints[static_cast<std::size_t>(joint)].tip;
    return std::isnan(tip.x) ? Vec3{} : rotate(world.turns[static_cast<std::size_t>(joint)], tip);
}

double slope_of(const Vec3& span, const Vec3& up) {
    return arctan2(dot(span, up), norm(reject(span, up)));
}

FootSlope slope_of(const std::vector<SkeletonJoint>& joints, const World& world, const PlanLeg& leg,
                   const Vec3& up) {
    return {slope_of(span_of(joints, world, leg.end, leg.toe), up),
            slope_of(span_of(joints, world, leg.toe, -1), up)};
}

/// The level direction in which a span lies; a foot that hangs straight down or points back is taken to lie ahead.
Vec3 level_way(const Vec3& span, const Vec3& up, const Vec3& facing) {
    const Vec3 level = reject(span, up);
    const double length = norm(level);
    return length > 0.3 * norm(span) && dot(level, facing) > 0 ? level / length : facing;
}

void pitch(const std::vector<SkeletonJoint>& joints, int joint, int next, double slope, const Vec3& up,
           const Vec3& facing, Pose& pose) {
    const World world = world_of(joints, pose);
    const Vec3 span = span_of(joints, world, joint, next);
    if (!(norm(span) > 0)) return;
    const Vec3 ahead = level_way(span, up, facing);
    const double now = arctan2(dot(span, up), dot(span, ahead));
    const auto i = static_cast<std::size_t>(joint);
    const Quat turned = exp_rotation(cross(ahead, up) * (slope - now)) * world.turns[i];
    const Quat parent =
        joints[i].parent < 0 ? Quat{} : world.turns[static_cast<std::size_t>(joints[i].parent)];
    pose.rotations[i] = normalized(conjugate(parent) * turned);
}

} // namespace

std::vector<FootSlope> flat_slopes(const BodyPlan& plan, const std::vector<SkeletonJoint>& joints,
                                   const std::vector<Sample>& samples, int up_axis) {
    const Vec3 up = direction_of(up_axis);
    double lowest[2] = {1e300, 1e300};
    FootSlope flat[2];
    for (const Sample& sample : samples) {
        if (!attitude_of(plan, sample.world).stands(up_axis)) continue;
        for (const PlanLeg& leg : plan.legs) {
            const int kind = leg.fore ? 1 : 0;
            const double height = dot(sample.world.at(leg.end), up);
            if (height < lowest[kind])
                lowest[kind] = height, flat[kind] = slope_of(joints, sample.world, leg, up);
        }
    }
    std::vector<FootSlope> slopes;
    if (lowest[0] == 1e300 && lowest[1] == 1e300) return slopes;
    for (const PlanLeg& leg : plan.legs)
        slopes.push_back(flat[leg.fore ? 1 : 0]);
    return slopes;
}

double unevenness(const BodyPlan& plan, const std::vector<SkeletonJoint>& joints, const World& world,
                  const std::vector<FootSlope>& flat, int up) {
    double sum = 0;
    for (std::size_t l = 0; l < flat.size(); ++l) {
        const FootSlope slope = slope_of(joints, world, plan.legs[l], direction_of(up));
        sum += (slope.foot - flat[l].foot) * (slope.foot - flat[l].foot);
    }
    return sum;
}

void put_feet_flat(const BodyPlan& plan, const std::vector<SkeletonJoint>& joints,
                   const std::vector<FootSlope>& flat, int up, const Vec3& facing, Pose& pose) {
    for (std::size_t l = 0; l < flat.size(); ++l) {
        const PlanLeg& leg = plan.legs[l];
        pitch(joints, leg.end, leg.toe, flat[l].foot, direction_of(up), facing, pose);
        if (leg.toe >= 0) pitch(joints, leg.toe, -1, flat[l].toes, direction_of(up), facing, pose);
    }
}

} // namespace aplomb::io
