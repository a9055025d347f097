// SPDX-License-Identifier: MIT
#include "follow/step.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "follow/pose_reader.h"
#include "follow/state.h"
#include "model/swing_twist.h"

namespace aplomb {
namespace {

constexpr double still = 1e-6; // radians: less is no motion

struct Placed {
    Vec3 point; // the swing point
    Quat attitude;
};

/// Room for items that are written before they are read: setting long arrays to zero costs more than a step takes.
template<class T, int count>
class Room {
public:
    T* items() { return reinterpret_cast<T*>(bytes_); }
    const T* items() const { return reinterpret_cast<const T*>(bytes_); }

private:
    alignas(T) unsigned char bytes_[count * sizeof(T)];
};
using ChainRoom = Room<Placed, APLOMB_MAX_CHAIN_JOINTS>;

/// Places the joints above the chains, once for all chains.
void place_bearers(const Follow& follow, const PoseReader& pose, Placement* world) {
    for (int32_t i = 0; i < follow.bearer_count; ++i) {
        const int32_t parent = follow.bearer_parent[i];
        world[i] = pose.place(parent < 0 ? Placement{} : world[parent], follow.bearers[i]);
    }
}

/// Places a chain's joints; those of a rigid chain in their rest shape.
void place_chain(const Follow& follow, const FollowChain& chain, const PoseReader& pose, Placement at,
                 Placed* placed) {
    for (int32_t k = 0; k < chain.joint_count; ++k) {
        const FollowJoint& joint = chain.joints[k];
        // The joint before is this one's parent: a chain holds every joint between its first and its last.
        const Vec3 place = to_world(at, pose.translation(joint.joint));
        const Quat turn =
            chain.set.rigid ? follow.figure->joints[joint.joint].rest_rotation : pose.rotation(joint.joint);
        at = {place, at.rotation * turn};
        placed[k] = {to_world(at, joint.swing_point), at.rotation};
    }
}

/// Finds where the swing points that drive a chain are.
class Drivers {
public:
    Drivers(const Follow& follow, const FollowInput& input)
        : follow_(follow), input_(input), pose_(*follow.figure, input.pose),
          keyed_(*follow.figure, input.keyed.rotations ? input.keyed : input.pose) {
        place_bearers(follow, pose_, bearers_.items());
        if (input.keyed.rotations) place_bearers(follow, keyed_, keyed_bearers_.items());
    }

    void place(const FollowChain& chain, Placed* placed) const {
        place_chain(follow_, chain, pose_, bearers_.items()[chain.bearer], placed);
        const double own = chain.set.own_motion;
        if (own < 1) {
            ChainRoom room;
            Placed* const keyed = room.items();
            const bool corrected = input_.keyed.rotations != nullptr;
            if (corrected) place_chain(follow_, chain, keyed_, keyed_bearers_.items()[chain.bearer], keyed);
            for (int32_t k = 0; k < chain.joint_count; ++k) {
                const Vec3 key = corrected ? keyed[k].point : placed[k].point,
                           rest = chain.joints[k].rest_point;
                placed[k].point = rest + ((placed[k].point - key) + own * (key - rest));
            }
        }
        for (int32_t k = 0; k < chain.joint_count; ++k) {
            placed[k].point = to_world(input_.character, placed[k].point);
            placed[k].attitude = input_.character.rotation * placed[k].attitude;
        }
    }

private:
    const Follow& follow_;
    const FollowInput& input_;
    PoseReader pose_, keyed_;
    Room<Placement, max_bearers> bearers_, keyed_bearers_;
};

/// Torques about a chain's axes.
struct Torques {
    double about[max_swing_axes];

    void push(const FollowJoint& joint, const Quat& attitude, const Vec3& acceleration) {
        const Vec3 own = rotate(conjugate(attitude), acceleration);
        for (int32_t a = 0; a < joint.axis_count; ++a)
            about[joint.first_axis + a] = dot(joint.push[a], own);
    }
    /// The same torques on each mode.
    void on_modes(const FollowChain& chain, double* modes) const {
        const int32_t count = chain.axis_count;
        std::fill(modes, modes + count, 0.0);
        for (int32_t i = 0; i < count; ++i) {
            for (int32_t m = 0; m < count; ++m)
                modes[m] += chain.shape[i * count + m] * about[i];
        }
    }
};

double axis_of(const FollowChain& chain, const double* modes, int32_t axis) {
    const double* row = chain.shape + axis * chain.axis_count;
    double sum = 0;
    for (int32_t m = 0; m < chain.axis_count; ++m)
        sum += row[m] * modes[m];
    return sum;
}
void to_axes(const FollowChain& chain, const double* modes, double* axes) {
    for (int32_t i = 0; i < chain.axis_count; ++i)
        axes[i] = axis_of(chain, modes, i);
}

/// Stops at the first axis that is not within; mostly that is the very first one.
bool all_within(const FollowChain& chain, const double* modes, double most) {
    for (int32_t i = 0; i < chain.axis_count; ++i)
        if (!(std::fabs(axis_of(chain, modes, i)) < most)) return false;
    return true;
}

bool is_zero(const FollowChain& chain, const ChainState& state) {
    const auto zero = [](double x) { return x == 0; };
    return std::all_of(state.place, state.place + chain.axis_count, zero) &&
           std::all_of(state.speed, state.speed + chain.axis_count, zero);
}

/// What has passed between two frames.
struct Passed {
    double seconds, before; // this frame's time and the last one's
    int frames;             // frames that were seen before this one, up to 3
};

/// The path of the swing point over a frame is taken as a parabola; between two frames its velocity jumps, by zero where both
/// lie on one parabola. So every frame is solved exactly, and frame times may differ.
void drive(const FollowChain& chain, const Placed* placed, const Passed& passed, ChainState& state,
           double* torque, double* impulse) {
    Torques torques, jumps;
    for (int32_t k = 0; k < chain.joint_count; ++k) {
        const FollowJoint& joint = chain.joints[k];
        const ChainState::Drive was = state.drive(k);
        ChainState::Drive is = {placed[k].point, {}, {}, placed[k].attitude};
        Vec3 acceleration, jump;
        if (passed.frames >= 1) is.velocity = (is.point - was.point) / passed.seconds;
        if (passed.frames >= 2)
            acceleration = (is.velocity - was.velocity) * (2.0 / (passed.seconds + passed.before));
        const Vec3 half = acceleration * (0.5 * passed.seconds);
        if (passed.frames >= 3) jump = (is.velocity - half) - was.end_velocity;
        is.end_velocity = is.velocity + half;
        torques.push(joint, is.attitude, acceleration);
        jumps.push(joint, was.attitude, jump);
        state.set_drive(k, is);
    }
    torques.on_modes(chain, torque);
    jumps.on_modes(chain, impulse);
}

void move_chain(const FollowChain& chain, const Placed* placed, const Passed& passed, bool usual, Rest rest,
                ChainState& state) {
    double torque[max_swing_axes], impulse[max_swing_axes];
    drive(chain, placed, passed, state, torque, impulse);
    for (int32_t m = 0; m < chain.axis_count; ++m) {
        const double rate = chain.rate[m];
        torque[m] /= rate * rate; // where the mode would rest
        state.speed[m] += impulse[m];
        const Propagator p = usual ? chain.usual[m] : make_propagator(rate, chain.damping[m], passed.seconds);
        p.move(torque[m], state.place[m], state.speed[m]);
    }
    if (rest == Rest::never || is_zero(chain, state)) return;
    if (all_within(chain, state.place, still) && all_within(chain, state.speed, still * chain.rate[0]) &&
        all_within(chain, torque, still)) {
        std::fill(state.place, state.place + chain.axis_count, 0.0);
        std::fill(state.speed, state.speed + chain.axis_count, 0.0);
    }
}

/// How far a joint may be turned along `direction`, a unit vector in its own frame, before it meets its limit; infinite where
/// that is more than twice `angle`.
double room_along(const Figure& figure, const FollowJoint& joint, const Quat& rotation, const Vec3& direction,
                  double angle) {
    constexpr double free_room = std::numeric_limits<double>::infinity();
    if (!joint.limited) return free_room;
    const Joint& j = figure.joints[joint.joint];
    const Quat turn = figure.joints[j.parent].neutral * rotation * conjugate(j.neutral);
    const double cosine = half_swing_cosine(turn);
    if (cosine < least_half_swing_cosine) return 0;
    const Vec3 is = swing_twist(turn);
    // A component changes by less than 4 / cosine times the turn: most joints are far enough from their limits.
    double nearest = free_room;
    for (int a = 0; a < 3; ++a)
        nearest = std::min(nearest, std::min(j.limits.highest[a] - is[a], is[a] - j.limits.lowest[a]));
    if (nearest * cosine > 8 * angle) return free_room;
    const Vec3 rate = swing_twist_jacobian(turn) * rotate(turn, rotate(j.neutral, direction));
    double room = free_room;
    for (int a = 0; a < 3; ++a) {
        const double end = rate[a] > 0 ? j.limits.highest[a] : j.limits.lowest[a];
        if (std::fabs(rate[a]) > 1e-9) room = std::min(room, (end - is[a]) / rate[a]);
    }
    return room;
}

/// `turn` itself up to half of the room; beyond it less and less of it, and never more than the room.
double softened(double turn, double room) {
    if (!(room > 0)) return 0;
    const double half = 0.5 * room;
    if (turn <= half) return turn;
    const double over = (turn - half) / half;
    return half * (1.0 + over / std::sqrt(1.0 + over * over));
}

template<class T>
void put_rotation(void* rotations, int32_t joint, const Quat& q) {
    T* to = static_cast<T*>(rotations) + 4 * static_cast<size_t>(joint);
    to[0] = static_cast<T>(q.x), to[1] = static_cast<T>(q.y), to[2] = static_cast<T>(q.z),
    to[3] = static_cast<T>(q.w);
}

void turn_joint(const Figure& figure, const FollowJoint& joint, const Vec3& turn, double limit,
                const PoseReader& pose, const HostPose& host, void* rotations) {
    const double angle = norm(turn);
    if (angle == 0) return;
    const Quat keyed = pose.rotation(joint.joint);
    const double room = std::min(limit, room_along(figure, joint, keyed, turn / angle, angle));
    const double allowed = softened(angle, room);
    if (allowed == 0) return;
    const Quat q = pose.out(keyed * exp_rotation(turn * (allowed / angle)));
    if (host.floats)
        put_rotation<float>(rotations, joint.joint, q);
    else
        put_rotation<double>(rotations, joint.joint, q);
}

ChainState chain_state(const FollowChain& chain, const double* state) {
    return ChainState(chain, const_cast<double*>(state)); // read only
}

} // namespace

void reset_state(const Follow& follow, double* state) {
    std::fill(state, state + follow.state_size, 0.0);
    state[state_mark] = follow.mark;
}

void move_state(const Follow& follow, double* state, const FollowInput& input, Rest rest) {
    const int frames = static_cast<int>(state[state_frames]);
    if (frames > 0 && input.seconds == 0) return;
    const Drivers drivers(follow, input);
    const Passed passed = {input.seconds, state[state_seconds], frames};
    const bool usual = input.seconds == follow.frame_time;
    for (int32_t i = 0; i < follow.chain_count; ++i) {
        const FollowChain& chain = follow.chains[i];
        if (!chain.set.on) continue;
        ChainRoom room;
        Placed* const placed = room.items();
        drivers.place(chain, placed);
        ChainState chain_state(chain, state);
        move_chain(chain, placed, passed, usual, rest, chain_state);
    }
    state[state_frames] = std::min(frames + 1, 3);
    state[state_seconds] = input.seconds;
}

void turn_joints(const Follow& follow, const double* state, const HostPose& pose, void* rotations) {
    const PoseReader reader(*follow.figure, pose);
    for (int32_t i = 0; i < follow.chain_count; ++i) {
        const FollowChain& chain = follow.chains[i];
        const ChainState s = chain_state(chain, state);
        if (!chain.set.on || is_zero(chain, s)) continue;
        double axes[max_swing_axes];
        to_axes(chain, s.place, axes);
        for (int32_t k = 0; k < chain.joint_count; ++k) {
            const FollowJoint& joint = chain.joints[k];
            Vec3 turn;
            for (int32_t a = 0; a < joint.axis_count; ++a)
                turn += joint.axis[a] * axes[joint.first_axis + a];
            turn_joint(*follow.figure, joint, turn, chain.set.limit, reader, pose, rotations);
        }
    }
}

void set_drive(const Follow& follow, const FollowChain& chain, const FollowInput& input, ChainState& state) {
    ChainRoom room;
    Placed* const placed = room.items();
    Drivers(follow, input).place(chain, placed);
    for (int32_t k = 0; k < chain.joint_count; ++k)
        state.set_drive(k, {placed[k].point, {}, {}, placed[k].attitude});
}

bool at_rest(const Follow& follow, const double* state) {
    for (int32_t i = 0; i < follow.chain_count; ++i) {
        if (!is_zero(follow.chains[i], chain_state(follow.chains[i], state))) return false;
    }
    return true;
}

} // namespace aplomb
