// SPDX-License-Identifier: MIT
#include "follow/drive.h"

namespace aplomb {
namespace {

/// How fast a chain's first joint turns, in its own frame; of what is keyed, as much as drives.
Vec3 turning(const FollowChain& chain, const Quat& was, const Quat& is, const Passed& passed) {
    const Vec3 whole = passed.rate_of(conjugate(was) * is);
    const double own = chain.set.own_motion;
    return own == 1 ? whole : own * whole + (1 - own) * rotate(conjugate(is), passed.turning);
}

/// The acceleration in the middle of a frame, in the frame of the joint there. `acceleration` is that of the time between the
/// middles of this frame and the last; the one before it leads on from there.
Vec3 in_the_middle(const Passed& passed, const ChainState::Driver& was, const Quat& attitude,
                   Vec3 acceleration) {
    if (passed.frames >= 3) {
        const Vec3 before = (was.end_velocity - was.velocity) * passed.per_half_before;
        acceleration += (acceleration - before) * passed.ahead;
    }
    const Vec3Pair own =
        rotate_back(side_by_side(was.attitude, attitude), side_by_side(acceleration, acceleration));
    return (own[0] + own[1]) * 0.5;
}

/// What two joints are pushed with about their axes. The second comes last: an axis that the first has not is one of its.
void put_torques(const JointPair& joints, const Vec3Pair& own, Pair* torques) {
    const Pair one = dot(joints.push[0], own), other = dot(joints.push[1], own);
    for (int i = 0; i < joints.count; ++i) {
        Pair* const to = torques + joints.first_axis[i];
        to[0] = Pair{one[i], one[i]}, to[1] = Pair{other[i], other[i]};
    }
}

/// The path of the swing point over a frame is taken as a parabola; between two frames its velocity jumps, by zero where both
/// lie on one parabola. So every frame is solved exactly, and frame times may differ.
template<bool usual>
void drive_joints(const FollowChain& chain, const PlacedPair* placed, const Passed& passed,
                  const ChainState& state, Drive& drive) {
    const int frames = usual ? 3 : passed.frames;
    const double half_frame = 0.5 * passed.seconds;
    for (int32_t p = 0; p < chain.joint_pair_count(); ++p) {
        const ChainState::DriverPair was = state.drivers(p);
        ChainState::DriverPair is = {placed[p].point, {}, {}, placed[p].attitude};
        Vec3Pair acceleration = {}, jump = {};
        if (frames >= 1) is.velocity = (is.point - was.point) * passed.per_second;
        if (frames >= 2) acceleration = (is.velocity - was.velocity) * passed.per_second_between;
        const Vec3Pair half = acceleration * half_frame;
        if (frames >= 3) jump = (is.velocity - half) - was.end_velocity;
        is.end_velocity = is.velocity + half;
        state.set_drivers(p, is);
        if (p == 0) drive.acceleration = acceleration[0];
        const JointPair& joints = chain.joint_pairs[p];
        put_torques(joints, rotate_back(is.attitude, acceleration), drive.torques.steady);
        put_torques(joints, rotate_back(was.attitude, jump), drive.torques.sudden);
    }
}

} // namespace

void find_drive(const FollowChain& chain, const PlacedPair* placed, const Passed& passed,
                const ChainState& state, Drive& drive) {
    const ChainState::Driver was = state.driver(0);
    const Quat attitude = placed[0].attitude[0];
    drive.torques.steady[chain.axis_count] = drive.torques.sudden[chain.axis_count] = Pair{};
    // Of a first frame, which may take no time, nothing is known.
    if (passed.frames >= 1) drive.turning = turning(chain, was.attitude, attitude, passed);
    const auto drive_all = passed.frames >= 3 ? drive_joints<true> : drive_joints<false>;
    drive_all(chain, placed, passed, state, drive);
    drive.acceleration = in_the_middle(passed, was, attitude, drive.acceleration);
}

} // namespace aplomb
