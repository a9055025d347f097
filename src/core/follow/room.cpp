// SPDX-License-Identifier: MIT
#include "follow/room.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "model/swing_twist.h"

namespace aplomb {
namespace {

/// How far a joint may be turned along `way`, `angle` long and in its own frame, before it meets its limit; infinite where
/// that is more than twice `angle`.
double room_along(const Figure& figure, const FollowJoint& joint, const Quat& rotation, const Vec3& way,
                  double angle) {
    constexpr double free_room = std::numeric_limits<double>::infinity();
    if (!joint.limited) return free_room;
    const Joint& j = figure.joints[joint.joint];
    const Quat turn = figure.joints[j.parent].neutral * rotation * conjugate(j.neutral);
    const double cosine = half_swing_cosine(turn);
    if (cosine < least_half_swing_cosine) return 0;
    const double sine[3] = {turn.x * turn.w + turn.z * turn.y, turn.w < 0 ? -turn.y : turn.y,
                            turn.z * turn.w - turn.x * turn.y};
    const Vec3 axis = rotate(turn, rotate(j.neutral, way / angle));
    double room = free_room;
    for (int a = 0; a < 3; ++a) {
        const double lowest = j.limits.lowest[a], highest = j.limits.highest[a];
        if (least_room(lowest, highest, sine[a], cosine) >= ample_room * angle) continue;
        const double rate = dot(swing_twist_gradient(turn, a), axis), end = rate > 0 ? highest : lowest;
        if (std::fabs(rate) > 1e-9) room = std::min(room, (end - swing_twist_component(turn, a)) / rate);
    }
    return room;
}

/// The part of a turn that is made: all of it up to half of the room; beyond it less and less, and never more than the room.
double softened_part(double turn, double room) {
    if (!(room > 0)) return 0;
    const double half = 0.5 * room;
    if (turn <= half) return 1;
    const double over = (turn - half) / half;
    return half * (1.0 + over / std::sqrt(1.0 + over * over)) / turn;
}

/// How much of a turn the joint's limit and the chain's leave.
double allowed_part(const Figure& figure, const FollowJoint& joint, const Vec3& turn, double limit,
                    const Quat& keyed) {
    const double angle = norm(turn);
    if (angle == 0) return 0;
    return softened_part(angle, std::min(limit, room_along(figure, joint, keyed, turn, angle)));
}

} // namespace

Vec3Pair shortened(const Figure& figure, const FollowChain& chain, int32_t pair, QuatPair keyed,
                   Vec3Pair turn, Pair spare) {
    double part[2] = {1, 1};
    for (int i = 0; i < chain.joint_pairs[pair].count; ++i) {
        if (!(spare[i] >= 0))
            part[i] = allowed_part(figure, chain.joints[2 * pair + i], turn[i], chain.set.limit, keyed[i]);
    }
    return turn * Pair{part[0], part[1]};
}

} // namespace aplomb
