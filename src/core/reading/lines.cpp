// SPDX-License-Identifier: MIT
#include "reading/lines.h"

#include <cmath>

namespace aplomb {
namespace {

struct Angles {
    double fore, left;
};
/// Of a direction given as left, up, forward. The one to the left is measured from the plane of the other, so
/// that it stays meaningful for a trunk that lies level.
Angles angles_of(const Vec3& v) {
    return {arctan2(v.z, v.y), arctan2(v.x, std::sqrt(v.y * v.y + v.z * v.z))};
}

/// How far a joint has rolled to the right since the neutral: its left side is so much higher.
double roll_of(const Figure& figure, const Key& s, int joint, const Vec3& up) {
    const Vec3 left = rotate(from_neutral(figure, s, joint), {1, 0, 0});
    return arctan2(dot(left, up), norm(reject(left, up)));
}

double wrapped(double angle) {
    if (angle > pi) return angle - 2 * pi;
    return angle <= -pi ? angle + 2 * pi : angle;
}

/// Where the weight is passed on: at the ankle of a leg, or in the middle of the patch.
Vec3 passing_point(const Key& s, const Contact& c, const Share& share, bool legs) {
    return legs ? s.body.world[c.joint].position : share.centre;
}

bool is_leg(const Figure& figure, const Contact& c) {
    return c.limb >= 0 && figure.limbs[c.limb].kind == APLOMB_LEG;
}

Vec3 bearing_ankle(const Figure& figure, const Key& s, const Share* shares) {
    double on_legs = 0;
    for (int i = 0; i < s.stance.contact_count; ++i) {
        if (is_leg(figure, s.stance.contact[i])) on_legs += shares[i].best;
    }
    const bool legs = on_legs > 0;
    double sum = 0;
    Vec3 weighted;
    for (int i = 0; i < s.stance.contact_count; ++i) {
        const Contact& c = s.stance.contact[i];
        if (legs && !is_leg(figure, c)) continue;
        sum += shares[i].best;
        weighted += (passing_point(s, c, shares[i], legs) - s.ground.origin) * shares[i].best;
    }
    return s.ground.origin + weighted / sum;
}

} // namespace

Lean lean_of(const BodyPlan& plan, const Figure& figure, const Key& s) {
    if (!(norm(plan.neutral_trunk) > 0)) return {};
    const Vec3 up = normalized(s.ground.gravity) * -1.0;
    const Vec3 fore = normalized(reject(s.ground.fore, up));
    const Vec3 v = s.body.trunk_centre - s.body.world[figure.hips].position;
    const Angles now = angles_of({dot(v, cross(up, fore)), dot(v, up), dot(v, fore)});
    const Angles neutral = angles_of(plan.neutral_trunk);
    const double bend = wrapped(now.fore - neutral.fore);
    // A trunk that lies level in the neutral, on four legs, leans aside by rolling; its line would only yaw.
    const bool level = std::fabs(plan.neutral_trunk.z) > std::fabs(plan.neutral_trunk.y);
    if (level) return {bend, roll_of(figure, s, figure.chest >= 0 ? figure.chest : figure.hips, up)};
    return {bend, neutral.left - now.left};
}

void line_of_action(const Figure& figure, const Key& s, const Share* shares, Vec3* line) {
    const auto at = [&](int joint) { return s.body.world[joint].position; };
    line[0] = bearing_ankle(figure, s, shares);
    line[1] = at(figure.hips);
    line[2] = figure.spine_count > 0 ? at(figure.spine[figure.spine_count / 2].joint) : line[1];
    line[3] = figure.chest >= 0 ? at(figure.chest) : line[2];
    line[4] = figure.head >= 0 ? at(figure.head) : line[3];
}

} // namespace aplomb
