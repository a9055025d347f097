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
using ChainQuats = Room<Quat, APLOMB_MAX_CHAIN_JOINTS>;

/// Places the joints above the chains, once for all chains.
void place_bearers(const Follow& follow, const PoseReader& pose, const Placement& character,
                   Placement* world) {
    for (int32_t i = 0; i < follow.bearer_count; ++i)
        world[i].rotation = pose.rotation(follow.bearers[i]);
    for (int32_t i = 0; i < follow.bearer_count; ++i) {
        const int32_t parent = follow.bearer_parent[i];
        const Placement& at = parent < 0 ? character : world[parent];
        world[i].position = to_world(at, pose.translation(follow.bearers[i]));
        world[i].rotation = at.rotation * world[i].rotation;
    }
}

/// Places a chain's joints; those of a rigid chain in their rest shape. In one pass after the other, so that a processor may
/// work on several joints at once.
void place_chain(const Follow& follow, const FollowChain& chain, const PoseReader& pose, const Placement& at,
                 Placed* placed) {
    const int32_t count = chain.joint_count;
    ChainQuats turn_room;
    Quat* const turn = turn_room.items();
    for (int32_t k = 0; k < count; ++k) {
        const int32_t joint = chain.joints[k].joint;
        turn[k] = chain.set.rigid ? follow.figure->joints[joint].rest_rotation : pose.rotation(joint);
    }
    Vec3 place = at.position;
    Quat attitude = at.rotation;
    for (int32_t k = 0; k < count; ++k) {
        // The joint before is this one's parent: a chain holds every joint between its first and its last.
        place = place + rotate(attitude, pose.translation(chain.joints[k].joint));
        attitude = attitude * turn[k];
        placed[k].point = place, placed[k].attitude = attitude;
    }
    for (int32_t k = 0; k < count; ++k)
        placed[k].point += rotate(placed[k].attitude, chain.joints[k].swing_point);
}

/// Finds where the swing points that drive a chain are.
class Drivers {
public:
    Drivers(const Follow& follow, const FollowInput& input)
        : follow_(follow), input_(input), pose_(*follow.figure, input.pose),
          keyed_(*follow.figure, input.keyed.rotations ? input.keyed : input.pose) {
        place_bearers(follow, pose_, input.character, bearers_.items());
        if (input.keyed.rotations) place_bearers(follow, keyed_, input.character, keyed_bearers_.items());
    }

    void place(const FollowChain& chain, Placed* placed) const {
        place_chain(follow_, chain, pose_, bearers_.items()[chain.bearer], placed);
        if (chain.set.own_motion < 1) take_out_key(chain, placed);
    }

private:
    /// Leaves of the keyed motion what `own_motion` says; the correction's stays.
    void take_out_key(const FollowChain& chain, Placed* placed) const {
        const double own = chain.set.own_motion;
        ChainRoom room;
        Placed* const keyed = room.items();
        const bool corrected = input_.keyed.rotations != nullptr;
        if (corrected) place_chain(follow_, chain, keyed_, keyed_bearers_.items()[chain.bearer], keyed);
        for (int32_t k = 0; k < chain.joint_count; ++k) {
            const Vec3 key = corrected ? keyed[k].point : placed[k].point,
                       rest = to_world(input_.character, chain.joints[k].rest_point);
            placed[k].point = rest + ((placed[k].point - key) + own * (key - rest));
        }
    }

    const Follow& follow_;
    const FollowInput& input_;
    PoseReader pose_, keyed_;
    Room<Placement, max_bearers> bearers_, keyed_bearers_;
};

struct PairVec3 {
    Pair x, y, z;
};
struct PairQuat {
    Pair x, y, z, w;
};
PairVec3 side_by_side(const Vec3& a, const Vec3& b) {
    return {Pair{a.x, b.x}, Pair{a.y, b.y}, Pair{a.z, b.z}};
}
PairQuat side_by_side(const Quat& a, const Quat& b) {
    return {Pair{a.x, b.x}, Pair{a.y, b.y}, Pair{a.z, b.z}, Pair{a.w, b.w}};
}
Pair dot(const Vec3& a, const PairVec3& b) {
    return a.x * b.x + a.y * b.y + a.z * b.z;
}
/// Two vectors in the frames of two attitudes.
PairVec3 in_frame(const PairQuat& q, const PairVec3& v) {
    const PairVec3 t = {2.0 * (v.y * q.z - v.z * q.y), 2.0 * (v.z * q.x - v.x * q.z),
                        2.0 * (v.x * q.y - v.y * q.x)};
    return {v.x + q.w * t.x + (t.y * q.z - t.z * q.y), v.y + q.w * t.y + (t.z * q.x - t.x * q.z),
            v.z + q.w * t.z + (t.x * q.y - t.y * q.x)};
}

/// About each of a chain's axes, twice side by side: what a pair of modes is multiplied with.
struct Torques {
    Pair steady[max_swing_axes], sudden[max_swing_axes];

    /// What a joint is pushed with, and what jumps with the frame, each in its own frame.
    void push(const FollowJoint& joint, const PairVec3& own) {
        for (int32_t a = 0; a < joint.axis_count; ++a) {
            const Pair torque = dot(joint.push[a], own);
            steady[joint.first_axis + a] = Pair{torque[0], torque[0]};
            sudden[joint.first_axis + a] = Pair{torque[1], torque[1]};
        }
    }
};

/// How far the modes turn a joint.
Vec3 turn_of(const FollowChain& chain, const double* modes, const FollowJoint& joint) {
    const int32_t width = chain.shape_width();
    const double *row = chain.shape + joint.first_axis * width, *next = row + (joint.axis_count - 1) * width;
    Pair one = {}, other = {};
    for (int32_t m = 0; m < width; m += 2) {
        const Pair mode = pair_at(modes + m);
        one += pair_at(row + m) * mode;
        other += pair_at(next + m) * mode;
    }
    const Vec3 turn = joint.axis[0] * (one[0] + one[1]);
    return joint.axis_count == 1 ? turn : turn + joint.axis[1] * (other[0] + other[1]);
}

/// Stops at the first joint that is not within; mostly that is the very first one.
bool all_within(const FollowChain& chain, const double* modes, double most) {
    for (int32_t k = 0; k < chain.joint_count; ++k) {
        const Vec3 turn = turn_of(chain, modes, chain.joints[k]);
        if (!(dot(turn, turn) < most * most)) return false;
    }
    return true;
}

bool is_zero(const FollowChain& chain, const ChainState& state) {
    const auto zero = [](double x) { return x == 0; };
    return std::all_of(state.place, state.place + chain.axis_count, zero) &&
           std::all_of(state.speed, state.speed + chain.axis_count, zero);
}
void set_to_rest(const FollowChain& chain, const ChainState& state) {
    std::fill(state.place, state.place + chain.axis_count, 0.0);
    std::fill(state.speed, state.speed + chain.axis_count, 0.0);
}

/// What has passed between two frames.
struct Passed {
    double seconds, before; // this frame's time and the last one's
    int frames;             // frames that were seen before this one, up to 3
    Vec3 turning;           // of the character, radians a second in the world
};

/// What drives a chain in one frame.
struct Driven {
    Torques torques;
    Vec3 turning, acceleration; // of its first joint and that one's swing point, in its own frame
};

/// The acceleration in the middle of a frame, in the frame of the joint there. `acceleration` is that of the time between the
/// middles of this frame and the last; the one before it leads on from there.
Vec3 in_the_middle(const Passed& passed, const ChainState::Drive& was, const ChainState::Drive& is,
                   Vec3 acceleration) {
    if (passed.frames >= 3) {
        const double last =
            std::max(passed.before, 1e-4); // no frame is shorter, whatever a caller's state says
        const Vec3 before = (was.end_velocity - was.velocity) * (2.0 / last);
        acceleration += (acceleration - before) * (0.5 * std::min(1.0, passed.seconds / last));
    }
    const PairVec3 own =
        in_frame(side_by_side(was.attitude, is.attitude), side_by_side(acceleration, acceleration));
    return Vec3{own.x[0] + own.x[1], own.y[0] + own.y[1], own.z[0] + own.z[1]} * 0.5;
}

/// The rate of a small turn, in the frame of what turns.
Vec3 rate_of(const Quat& turn, double seconds) {
    return turn.vec() * ((turn.w < 0 ? -2.0 : 2.0) / seconds);
}

/// How fast a chain's first joint turns, in its own frame; of what is keyed, as much as drives.
Vec3 turning(const FollowChain& chain, const Quat& was, const Quat& is, const Passed& passed) {
    const Vec3 whole = rate_of(conjugate(was) * is, passed.seconds);
    const double own = chain.set.own_motion;
    return own == 1 ? whole : own * whole + (1 - own) * rotate(conjugate(is), passed.turning);
}

/// The path of the swing point over a frame is taken as a parabola; between two frames its velocity jumps, by zero where both
/// lie on one parabola. So every frame is solved exactly, and frame times may differ.
void drive(const FollowChain& chain, const Placed* placed, const Passed& passed, ChainState& state,
           Driven& driven) {
    const bool moved = passed.frames >= 1; // a first frame may take no time
    const double per_second = moved ? 1.0 / passed.seconds : 0.0, half_frame = 0.5 * passed.seconds;
    const double per_second_between = moved ? 2.0 / (passed.seconds + passed.before) : 0.0;
    if (moved) driven.turning = turning(chain, state.drive(0).attitude, placed[0].attitude, passed);
    for (int32_t k = 0; k < chain.joint_count; ++k) {
        const FollowJoint& joint = chain.joints[k];
        const ChainState::Drive was = state.drive(k);
        ChainState::Drive is = {placed[k].point, {}, {}, placed[k].attitude};
        Vec3 acceleration, jump;
        if (moved) is.velocity = (is.point - was.point) * per_second;
        if (passed.frames >= 2) acceleration = (is.velocity - was.velocity) * per_second_between;
        const Vec3 half = acceleration * half_frame;
        if (passed.frames >= 3) jump = (is.velocity - half) - was.end_velocity;
        is.end_velocity = is.velocity + half;
        driven.torques.push(
            joint, in_frame(side_by_side(is.attitude, was.attitude), side_by_side(acceleration, jump)));
        if (k == 0) driven.acceleration = in_the_middle(passed, was, is, acceleration);
        state.set_drive(k, is);
    }
}

/// What stiffens a chain, as ModePair has it, each twice side by side.
struct Stiffeners {
    Pair by[stiffenings];

    explicit Stiffeners(const Driven& driven) {
        const Vec3 &w = driven.turning, &a = driven.acceleration;
        const double each[stiffenings] = {w.x * w.x, w.y * w.y, w.z * w.z, w.x * w.y, w.x * w.z,
                                          w.y * w.z, a.x,       a.y,       a.z};
        for (int i = 0; i < stiffenings; ++i)
            by[i] = Pair{each[i], each[i]};
    }
    /// By how much two modes are stiffer than at rest, over their stiffness: they always stay stiff.
    Pair stiffer(const ModePair& mode) const {
        constexpr double most = 0.5;
        Pair sum = mode.stiffening[0] * by[0];
        for (int i = 1; i < stiffenings; ++i)
            sum += mode.stiffening[i] * by[i];
        return Pair{std::clamp(sum[0], -most, most), std::clamp(sum[1], -most, most)};
    }
};

/// Moves a chain's modes on; `answer`: where they would come to rest. What stiffens pulls with the mean of its pull at either
/// end of the frame.
void move_modes(const FollowChain& chain, const Driven& driven, const PropagatorPair* propagators,
                const ChainState& state, double* answer) {
    const int32_t width = chain.shape_width(), axes = chain.axis_count;
    const Stiffeners stiffeners(driven);
    for (int32_t m = 0; m < width; m += 2) {
        const ModePair& mode = chain.pairs[m / 2];
        const PropagatorPair& by = propagators[m / 2];
        Pair torque = {}, impulse = {};
        const double* shape = chain.shape + m;
        for (int32_t i = 0; i < axes; ++i, shape += width) {
            torque += pair_at(shape) * driven.torques.steady[i];
            impulse += pair_at(shape) * driven.torques.sudden[i];
        }
        const Pair half = 0.5 * stiffeners.stiffer(mode), to_rest = 1.0 - by.place_of_place,
                   back = half * to_rest;
        const Pair rest = torque * mode.softness, was = pair_at(state.place + m),
                   v = pair_at(state.speed + m) + impulse;
        // It comes to rest at `rest` less `half` of both places, so its next place is solved for.
        const Pair is =
            (by.place_of_place * was + by.place_of_speed * v + to_rest * rest - back * was) / (1.0 + back);
        const Pair off = was - (rest - half * (was + is));
        put(state.place + m, is);
        put(state.speed + m, by.speed_of_place * off + by.speed_of_speed * v);
        put(answer + m, rest);
    }
}

void move_chain(const FollowChain& chain, const Placed* placed, const Passed& passed, bool usual, Rest rest,
                ChainState& state) {
    Driven driven;
    drive(chain, placed, passed, state, driven);
    PropagatorPair own[APLOMB_MAX_CHAIN_JOINTS];
    if (!usual) {
        for (int32_t p = 0; p < chain.pair_count; ++p)
            own[p] = make_propagator(chain.pairs[p].oscillators, passed.seconds);
    }
    double answer[max_swing_axes];
    move_modes(chain, driven, usual ? chain.usual : own, state, answer);
    if (rest == Rest::comes && all_within(chain, state.place, still) &&
        all_within(chain, state.speed, still * chain.rate[0]) && all_within(chain, answer, still))
        set_to_rest(chain, state);
}

/// No more than the room from any component of `turn` to either limit, without an arctangent: a component is 2 to pi times as
/// large as its half-angle's sine.
double least_room(const Limits& limits, const Quat& turn, double cosine) {
    const double per = 1.0 / cosine;
    const Vec3 sine = {(turn.x * turn.w + turn.z * turn.y) * per, turn.w < 0 ? -turn.y * per : turn.y * per,
                       (turn.z * turn.w - turn.x * turn.y) * per};
    double least = std::numeric_limits<double>::infinity();
    for (int a = 0; a < 3; ++a) {
        const double nearer = 2.0 * sine[a], further = pi * sine[a];
        least = std::min(least, std::min(limits.highest[a] - std::max(nearer, further),
                                         std::min(nearer, further) - limits.lowest[a]));
    }
    return least;
}

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
    if (least_room(j.limits, turn, cosine) * cosine > 8 * angle) return free_room;
    const Vec3 is = swing_twist(turn);
    // A component changes by less than 4 / cosine times the turn: most joints are far enough from their limits.
    double nearest = free_room;
    for (int a = 0; a < 3; ++a)
        nearest = std::min(nearest, std::min(j.limits.highest[a] - is[a], is[a] - j.limits.lowest[a]));
    if (nearest * cosine > 8 * angle) return free_room;
    const Vec3 rate = swing_twist_jacobian(turn) * rotate(turn, rotate(j.neutral, way / angle));
    double room = free_room;
    for (int a = 0; a < 3; ++a) {
        const double end = rate[a] > 0 ? j.limits.highest[a] : j.limits.lowest[a];
        if (std::fabs(rate[a]) > 1e-9) room = std::min(room, (end - is[a]) / rate[a]);
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

template<class T>
void put_rotation(void* rotations, int32_t joint, const Quat& q) {
    T* to = static_cast<T*>(rotations) + 4 * static_cast<size_t>(joint);
    to[0] = static_cast<T>(q.x), to[1] = static_cast<T>(q.y), to[2] = static_cast<T>(q.z),
    to[3] = static_cast<T>(q.w);
}

/// How much of a turn the joint's limit and the chain's leave.
double allowed_part(const Figure& figure, const FollowJoint& joint, const Vec3& turn, double limit,
                    const Quat& keyed) {
    const double angle = norm(turn);
    if (angle == 0) return 0;
    return softened_part(angle, std::min(limit, room_along(figure, joint, keyed, turn, angle)));
}

/// In one pass after the other, so that a processor may work on several joints at once.
void turn_chain(const Figure& figure, const FollowChain& chain, const ChainState& state,
                const PoseReader& pose, const HostPose& host, void* rotations) {
    Room<Vec3, APLOMB_MAX_CHAIN_JOINTS> turn_room;
    ChainQuats keyed_room, turned_room;
    Vec3* const turn = turn_room.items();
    Quat *const keyed = keyed_room.items(), *const turned = turned_room.items();
    const int32_t count = chain.joint_count;
    for (int32_t k = 0; k < count; ++k)
        turn[k] = turn_of(chain, state.place, chain.joints[k]),
        keyed[k] = pose.rotation(chain.joints[k].joint);
    for (int32_t k = 0; k < count; ++k)
        turn[k] *= allowed_part(figure, chain.joints[k], turn[k], chain.set.limit, keyed[k]);
    for (int32_t k = 0; k < count; ++k)
        turned[k] = exp_rotation(turn[k]);
    for (int32_t k = 0; k < count; ++k) {
        if (turn[k].x == 0 && turn[k].y == 0 && turn[k].z == 0) continue;
        const Quat q = pose.out(keyed[k] * turned[k]);
        if (host.floats)
            put_rotation<float>(rotations, chain.joints[k].joint, q);
        else
            put_rotation<double>(rotations, chain.joints[k].joint, q);
    }
}

struct Chains {
    const FollowChain* first;
    int32_t count;
};

void move_chains(const Follow& follow, const Chains& chains, double* state, const FollowInput& input,
                 Rest rest) {
    const int frames = static_cast<int>(state[state_frames]);
    if (frames > 0 && input.seconds == 0) return;
    const Drivers drivers(follow, input);
    double* const turn = state + state_turn;
    const Quat was = {turn[0], turn[1], turn[2], turn[3]}, is = input.character.rotation;
    Passed passed = {input.seconds, state[state_seconds], frames, {}};
    if (frames >= 1) passed.turning = rotate(is, rate_of(conjugate(was) * is, input.seconds));
    const bool usual = input.seconds == follow.frame_time;
    for (int32_t i = 0; i < chains.count; ++i) {
        const FollowChain& chain = chains.first[i];
        if (!chain.set.on) continue;
        ChainRoom room;
        Placed* const placed = room.items();
        drivers.place(chain, placed);
        ChainState chain_state(chain, state);
        move_chain(chain, placed, passed, usual, rest, chain_state);
    }
    state[state_frames] = std::min(frames + 1, 3);
    state[state_seconds] = input.seconds;
    put(turn, is);
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
    move_chains(follow, {follow.chains, follow.chain_count}, state, input, rest);
}
void move_chain_state(const Follow& follow, const FollowChain& chain, double* state, const FollowInput& input,
                      Rest rest) {
    move_chains(follow, {&chain, 1}, state, input, rest);
}

void turn_joints(const Follow& follow, const double* state, const HostPose& pose, void* rotations) {
    const PoseReader reader(*follow.figure, pose);
    for (int32_t i = 0; i < follow.chain_count; ++i) {
        const FollowChain& chain = follow.chains[i];
        const ChainState s = chain_state(chain, state);
        if (chain.set.on && !is_zero(chain, s)) turn_chain(*follow.figure, chain, s, reader, pose, rotations);
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
