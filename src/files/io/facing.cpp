// SPDX-License-Identifier: MIT
#include "io/facing.h"

#include <algorithm>
#include <cmath>

namespace aplomb::io {
namespace {

constexpr double clear_share = 0.6; // of all that was seen: the least that tells
constexpr double clear_foot = 0.02; // of the leg's length
constexpr double clear_bend = 0.03; // of the leg's length: a knee's way off the line from hip to ankle

struct Tally {
    double sum = 0, size = 0;

    void add(double value) { sum += value, size += std::fabs(value); }
    int sign() const { return !(std::fabs(sum) > clear_share * size) || size == 0 ? 0 : sum > 0 ? 1 : -1; }
};

double length_of(const World& world, const PlanLeg& leg) {
    const Vec3& lower = world.at(leg.lower >= 0 ? leg.lower : leg.end);
    return norm(lower - world.at(leg.upper)) + norm(world.at(leg.end) - lower);
}

/// The vector from the ankle to the end of the foot, by joints.
Vec3 foot_of(const std::vector<SkeletonJoint>& joints, const World& world, const PlanLeg& leg) {
    const int last = leg.toe >= 0 ? leg.toe : leg.end;
    Vec3 along = world.at(last) - world.at(leg.end);
    const Vec3& tip = joints[static_cast<std::size_t>(last)].tip;
    if (!std::isnan(tip.x)) along += rotate(world.turns[static_cast<std::size_t>(last)], tip);
    return along;
}

bool is_below(const std::vector<SkeletonJoint>& joints, int joint, int above) {
    while (joint > above)
        joint = joints[static_cast<std::size_t>(joint)].parent;
    return joint == above;
}

/// The vector from each leg's ankle to the middle of the skin that its foot moves; zero where it moves none.
std::vector<Vec3> feet_of_skin(const Skin& skin, const std::vector<SkeletonJoint>& joints, const Pose& pose,
                               const World& world, const std::vector<PlanLeg>& legs) {
    std::vector<int> leg_of(skin.bones.size(), -1);
    for (std::size_t b = 0; b < skin.bones.size(); ++b)
        for (std::size_t l = 0; l < legs.size(); ++l)
            if (is_below(joints, skin.bones[b].joint, legs[l].end)) leg_of[b] = static_cast<int>(l);
    const std::vector<Vec3> places = skinned(skin, joints, pose);
    std::vector<Vec3> sums(legs.size());
    std::vector<double> counts(legs.size(), 0);
    for (std::size_t v = 0; v < places.size(); ++v) {
        const int leg = leg_of[static_cast<std::size_t>(skin.influences[v][0])];
        if (leg < 0) continue;
        const auto l = static_cast<std::size_t>(leg);
        sums[l] += places[v] - world.at(legs[l].end);
        counts[l] += 1;
    }
    for (std::size_t l = 0; l < legs.size(); ++l)
        if (counts[l] > 0) sums[l] = sums[l] / counts[l];
    return sums;
}

int vote_of_feet(const BodyPlan& plan, const std::vector<SkeletonJoint>& joints, const Skin* skin,
                 const Pose& pose, const World& world, const Vec3& facing) {
    Tally by_skin, by_joints;
    std::vector<Vec3> feet(plan.legs.size());
    if (skin != nullptr) feet = feet_of_skin(*skin, joints, pose, world, plan.legs);
    for (std::size_t l = 0; l < plan.legs.size(); ++l) {
        const double least = clear_foot * length_of(world, plan.legs[l]);
        const double skin_way = dot(feet[l], facing);
        const double joint_way = dot(foot_of(joints, world, plan.legs[l]), facing);
        if (std::fabs(skin_way) > least) by_skin.add(skin_way);
        if (std::fabs(joint_way) > least) by_joints.add(joint_way);
    }
    return by_skin.sign() != 0 ? by_skin.sign() : by_joints.sign();
}

int vote_of_names(const BodyPlan& plan) {
    const PlanLeg *first = nullptr, *other = nullptr;
    if (!plan.pair(&first, &other)) return 0;
    const int difference = first->side - other->side;
    return difference > 0 ? 1 : difference < 0 ? -1 : 0;
}

int vote_of_trunk(const BodyPlan& plan, const World& world, const Vec3& facing) {
    if (!plan.has_fore_legs()) return 0;
    Vec3 sums[2];
    double counts[2] = {0, 0};
    for (const PlanLeg& leg : plan.legs)
        sums[leg.fore ? 1 : 0] += world.at(leg.upper), counts[leg.fore ? 1 : 0] += 1;
    if (counts[0] == 0) return 0;
    const Vec3 way = sums[1] / counts[1] - sums[0] / counts[0];
    const double along = dot(way, facing);
    return std::fabs(along) < 0.5 * norm(way) || along == 0 ? 0 : along > 0 ? 1 : -1;
}

/// A knee lies ahead of the line from hip to ankle; bodies with fore legs are left out, since hocks bend the other way.
void add_knees(const BodyPlan& plan, const World& world, const Vec3& facing, Tally& tally) {
    if (plan.has_fore_legs()) return;
    for (const PlanLeg& leg : plan.legs) {
        if (leg.lower < 0) continue;
        const Vec3 line = world.at(leg.end) - world.at(leg.upper);
        if (!(norm(line) > 0)) continue;
        const Vec3 off = reject(world.at(leg.lower) - world.at(leg.upper), normalized(line));
        if (norm(off) > clear_bend * length_of(world, leg)) tally.add(dot(off, facing));
    }
}

Vec3 hips_of(const BodyPlan& plan, const World& world) {
    Vec3 sum;
    for (const PlanLeg& leg : plan.legs)
        sum += world.at(leg.upper);
    return sum / static_cast<double>(plan.legs.size());
}

} // namespace

bool FacingVotes::any(int way) const {
    return feet * way > 0 || names * way > 0 || trunk * way > 0 || knees * way > 0 || travel * way > 0;
}

std::string FacingVotes::words(int way) const {
    std::vector<std::string> said;
    if (feet * way > 0) said.emplace_back("feet");
    if (trunk * way > 0) said.emplace_back("fore legs");
    if (names * way > 0) said.emplace_back("the names' left and right");
    if (knees * way > 0) said.emplace_back("knees");
    if (travel * way > 0) said.emplace_back("travel");
    std::string text;
    for (std::size_t i = 0; i < said.size(); ++i)
        text += (i == 0 ? "" : i + 1 == said.size() ? " and " : ", ") + said[i];
    return text;
}

FacingVotes facing_votes(const BodyPlan& plan, const std::vector<SkeletonJoint>& joints, const Skin* skin,
                         const Pose& pose, const std::vector<Sample>& samples, int up_axis) {
    FacingVotes votes;
    const Vec3 up = direction_of(up_axis);
    const World world = world_of(joints, pose);
    const Vec3 facing = facing_of(plan, world, up);
    if (dot(facing, facing) == 0) return votes;
    votes.feet = vote_of_feet(plan, joints, skin, pose, world, facing);
    votes.names = vote_of_names(plan);
    votes.trunk = vote_of_trunk(plan, world, facing);

    Tally knees, travel;
    add_knees(plan, world, facing, knees);
    for (std::size_t i = 0; i < samples.size(); ++i) {
        const Vec3 way = facing_of(plan, samples[i].world, up);
        if (dot(way, way) == 0 || !attitude_of(plan, samples[i].world).stands(up_axis)) continue;
        add_knees(plan, samples[i].world, way, knees);
        if (i + 1 < samples.size() && samples[i + 1].clip == samples[i].clip)
            travel.add(dot(hips_of(plan, samples[i + 1].world) - hips_of(plan, samples[i].world), way));
    }
    votes.knees = knees.sign();
    const double leg = plan.legs.empty() ? 0 : length_of(world, plan.legs[0]);
    if (std::fabs(travel.sum) > 2 * leg) votes.travel = travel.sign();
    return votes;
}

} // namespace aplomb::io
