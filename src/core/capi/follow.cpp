// SPDX-License-Identifier: MIT
// aplomb_follow_*: chains, plans, states, steps and shots.
#include "aplomb/follow.h"

#include <bit>
#include <cmath>
#include <cstdio>
#include <cstring>

#include "base/block.h"
#include "base/check.h"
#include "base/exponential.h"
#include "base/pair.h"
#include "base/structs.h"
#include "base/trig.h"
#include "capi/follow_desc.h"
#include "capi/handles.h"
#include "follow/chains.h"
#include "follow/loop.h"
#include "follow/state.h"
#include "follow/step.h"
#include "follow/timing.h"

using namespace aplomb;

namespace {

constexpr double least_seconds = 1e-4, most_seconds = 10, largest_remembered = 1e20;

// A double's bits without its sign order, as a whole number, like its size, NaN and infinity last: so many compare at once.
constexpr uint64_t size_bits = UINT64_MAX >> 1;

aplomb_follow_desc default_desc() {
    aplomb_follow_desc d{};
    d.gravity = 9.80665;
    return d;
}
aplomb_follow_frame default_frame() {
    aplomb_follow_frame f{};
    f.turn[3] = 1;
    return f;
}

aplomb_status check_state(const aplomb_follow* follow, const double* state, aplomb_error* error) {
    if (!follow) return fail(error, APLOMB_BAD_ARGUMENT, "follow", -1, "follow is NULL.");
    if (!state) return fail(error, APLOMB_BAD_ARGUMENT, "state", -1, "state is NULL.");
    return APLOMB_OK;
}

/// Checks that a state was made for this plan, and that it is finite.
aplomb_status check_used_state(const aplomb_follow* follow, const double* state, aplomb_error* error) {
    if (const auto s = check_state(follow, state, error)) return s;
    if (!(state[state_mark] == follow->mark))
        return fail(error, APLOMB_BAD_ARGUMENT, "state", -1,
                    "state is not one of this plan: it was never reset, or belongs to another one.");
    constexpr uint64_t largest = std::bit_cast<uint64_t>(largest_remembered);
    // What is too large carries into the top bit.
    constexpr uint64_t carry = size_bits - largest;
    PairBits over = {}, over_too = {};
    const auto carried = [](const double* two) {
        return (std::bit_cast<PairBits>(pair_at(two)) & size_bits) + carry;
    };
    int32_t seen = 0;
    for (; seen + 3 < follow->state_size; seen += 4)
        over |= carried(state + seen), over_too |= carried(state + seen + 2);
    over |= over_too;
    for (; seen < follow->state_size; ++seen)
        over[0] |= (std::bit_cast<uint64_t>(state[seen]) & size_bits) + carry;
    for (int32_t i = 0; (over[0] | over[1]) > size_bits && i < follow->state_size; ++i) {
        if (!(std::fabs(state[i]) <= largest_remembered))
            return fail(error, APLOMB_BAD_ARGUMENT, "state", i,
                        "state[%d] is %g, not a finite number within 1e20.", i, state[i]);
    }
    const double frames = state[state_frames];
    if (!(frames == 0 || frames == 1 || frames == 2 || frames == 3))
        return fail(error, APLOMB_BAD_ARGUMENT, "state", state_frames,
                    "state[%d], the frames seen, is %g; 0 to 3 are.", state_frames, frames);
    if (!(state[state_seconds] >= 0 && state[state_seconds] <= most_seconds))
        return fail(error, APLOMB_BAD_ARGUMENT, "state", state_seconds,
                    "state[%d], the last frame's time, is %g; 0 to 10 seconds are.", state_seconds,
                    state[state_seconds]);
    return APLOMB_OK;
}

/// Which joints of a pose are read: bearers and chains.
template<class Visit>
bool all_read(const Follow& follow, Visit visit) {
    for (int32_t i = 0; i < follow.bearer_count; ++i) {
        if (!visit(follow.bearers[i])) return false;
    }
    for (int32_t i = 0; i < follow.chain_count; ++i) {
        const FollowChain& chain = follow.chains[i];
        for (int32_t k = 0; k < chain.joint_count; ++k) {
            if (!visit(chain.joints[k].joint)) return false;
        }
    }
    return true;
}

/// All ones in both places where a joint's numbers are within limits; of two numbers at a time.
template<class T>
PairBits sound(const T* translations, const T* rotations, int32_t joint, double largest) {
    const T* t = translations + 3 * static_cast<size_t>(joint);
    const T* r = rotations + 4 * static_cast<size_t>(joint);
    const auto size = [](const Pair& pair) {
        return std::bit_cast<Pair>(std::bit_cast<PairBits>(pair) & size_bits);
    };
    const Pair xy = {r[0], r[1]}, zw = {r[2], r[3]}, squares = xy * xy + zw * zw;
    const Pair place = {t[0], t[1]}, others = {t[2], (squares[0] + squares[1]) - 1.0};
    return PairBits(size(place) <= Pair{largest, largest}) & PairBits(size(others) <= Pair{largest, 1.9e-4});
}

template<class T>
aplomb_status name_fault(const Follow& follow, const char* prefix, const void* translations,
                         const void* rotations, double largest, aplomb_error* error) {
    aplomb_status status = APLOMB_OK;
    char field[2][32];
    std::snprintf(field[0], sizeof field[0], "%stranslations", prefix);
    std::snprintf(field[1], sizeof field[1], "%srotations", prefix);
    all_read(follow, [&](int32_t j) {
        const T* from = static_cast<const T*>(translations) + 3 * static_cast<size_t>(j);
        const T* turn = static_cast<const T*>(rotations) + 4 * static_cast<size_t>(j);
        const double t[3] = {from[0], from[1], from[2]}, q[4] = {turn[0], turn[1], turn[2], turn[3]};
        const char* const* name = &follow.figure->joints[j].name;
        status = check_finite({field[0], "joint", t, 3, 1, name, j}, largest, APLOMB_BAD_POSE, error);
        if (!status) status = check_rotations({field[1], "joint", q, 4, 1, name, j}, APLOMB_BAD_POSE, error);
        return status == APLOMB_OK;
    });
    return status;
}

/// Checks that the joints that are read are finite and of unit length; a second pass finds the one at fault.
template<class T>
aplomb_status check_numbers(const Follow& follow, const char* prefix, const void* translations,
                            const void* rotations, aplomb_error* error) {
    const double largest = largest_length / follow.figure->frame.metres_per_unit;
    const T* t = static_cast<const T*>(translations);
    const T* r = static_cast<const T*>(rotations);
    PairBits all = {UINT64_MAX, UINT64_MAX};
    all_read(follow, [&](int32_t j) {
        all &= sound(t, r, j, largest);
        return true;
    });
    if (all[0] & all[1]) return APLOMB_OK;
    return name_fault<T>(follow, prefix, translations, rotations, largest, error);
}

/// The two keyed arrays may both be NULL, but not one of them alone.
aplomb_status check_arrays(const void* translations, const void* rotations, const void* keyed_translations,
                           const void* keyed_rotations, aplomb_error* error) {
    if (!translations) return fail(error, APLOMB_BAD_ARGUMENT, "translations", -1, "translations is NULL.");
    if (!rotations) return fail(error, APLOMB_BAD_ARGUMENT, "rotations", -1, "rotations is NULL.");
    if (!keyed_translations != !keyed_rotations)
        return fail(error, APLOMB_BAD_ARGUMENT, keyed_rotations ? "keyed_translations" : "keyed_rotations",
                    -1, "%s is NULL and its other half is not.",
                    keyed_rotations ? "keyed_translations" : "keyed_rotations");
    return APLOMB_OK;
}

aplomb_status check_frame_pose(const Follow& follow, const aplomb_follow_frame& f, aplomb_error* error) {
    const auto check = f.floats ? check_numbers<float> : check_numbers<double>;
    if (const auto s = check(follow, "", f.translations, f.rotations, error)) return s;
    return f.keyed_rotations ? check(follow, "keyed_", f.keyed_translations, f.keyed_rotations, error)
                             : APLOMB_OK;
}

aplomb_status check_frame(const Follow& follow, const aplomb_follow_frame& f, aplomb_error* error) {
    if (const auto s =
            check_arrays(f.translations, f.rotations, f.keyed_translations, f.keyed_rotations, error))
        return s;
    if (!(f.seconds == 0 || (f.seconds >= least_seconds && f.seconds <= most_seconds)))
        return fail(error, APLOMB_BAD_ARGUMENT, "seconds", -1, "seconds is %g; 0 or %g to %g are allowed.",
                    f.seconds, least_seconds, most_seconds);
    const double largest = largest_length / follow.figure->frame.metres_per_unit;
    if (const auto s =
            check_finite({"place", "character", f.place, 3, 1, nullptr}, largest, APLOMB_BAD_ARGUMENT, error))
        return s;
    if (const auto s =
            check_rotations({"turn", "character", f.turn, 4, 1, nullptr}, APLOMB_BAD_ARGUMENT, error))
        return s;
    return check_frame_pose(follow, f, error);
}

FollowInput input_of(const Follow& follow, const aplomb_follow_frame& f) {
    const Frame& frame = follow.figure->frame;
    FollowInput in;
    in.pose = {f.translations, f.rotations, f.floats != 0};
    in.keyed = {f.keyed_translations, f.keyed_rotations, f.floats != 0};
    const Vec3 place = {f.place[0], f.place[1], f.place[2]};
    const Quat turn = normalized(Quat{f.turn[0], f.turn[1], f.turn[2], f.turn[3]});
    in.character = {place * frame.metres_per_unit, turn};
    if (turned(frame)) in.character = {length_in(frame, place), rotation_in(frame, turn)};
    in.seconds = f.seconds;
    return in;
}

aplomb_status check_times(const aplomb_follow_shot& shot, aplomb_error* error) {
    if (!shot.times) {
        if (shot.frame_count == 1 || (shot.frame_time >= least_seconds && shot.frame_time <= most_seconds))
            return APLOMB_OK;
        return fail(error, APLOMB_BAD_ARGUMENT, "frame_time", -1,
                    "frame_time is %g; %g to %g seconds are allowed.", shot.frame_time, least_seconds,
                    most_seconds);
    }
    for (int32_t k = 1; k < shot.frame_count; ++k) {
        const double h = shot.times[k] - shot.times[k - 1];
        if (!(h >= least_seconds && h <= most_seconds))
            return fail(error, APLOMB_BAD_ARGUMENT, "times", k,
                        "times[%d] is %g, %g seconds after the one before; %g to %g are allowed.", k,
                        shot.times[k], h, least_seconds, most_seconds);
    }
    return APLOMB_OK;
}

aplomb_status check_shot(const Follow& follow, const aplomb_follow_shot& shot, aplomb_error* error) {
    if (const auto s = check_arrays(shot.translations, shot.rotations, shot.keyed_translations,
                                    shot.keyed_rotations, error))
        return s;
    if (shot.frame_count < (shot.closed ? 4 : 1))
        return fail(error, APLOMB_BAD_ARGUMENT, "frame_count", -1, "frame_count is %d; a %s has %d or more.",
                    shot.frame_count, shot.closed ? "loop" : "shot", shot.closed ? 4 : 1);
    if (const auto s = check_times(shot, error)) return s;
    const size_t joints = static_cast<size_t>(follow.figure->joint_count);
    for (int32_t k = 0; k < shot.frame_count; ++k) {
        aplomb_follow_frame f = default_frame();
        f.translations = shot.translations + 3 * joints * static_cast<size_t>(k);
        f.rotations = shot.rotations + 4 * joints * static_cast<size_t>(k);
        if (shot.keyed_rotations) {
            f.keyed_translations = shot.keyed_translations + 3 * joints * static_cast<size_t>(k);
            f.keyed_rotations = shot.keyed_rotations + 4 * joints * static_cast<size_t>(k);
        }
        if (const auto s = check_frame_pose(follow, f, error)) {
            if (error) {
                char message[sizeof error->message];
                std::snprintf(message, sizeof message, "frame %d: %.400s", k, error->message);
                std::memcpy(error->message, message, sizeof message);
            }
            return s;
        }
    }
    return APLOMB_OK;
}

} // namespace

const char* aplomb_chain_text(aplomb_chain_kind kind) {
    return chain_text(kind);
}

aplomb_chain aplomb_chain_make(aplomb_chain_kind kind, int32_t first, int32_t last) {
    return make_chain(kind, first, last);
}

int32_t aplomb_figure_chains(const aplomb_figure* figure, aplomb_chain* chains, int32_t capacity) {
    return figure ? find_chains(*figure, chains, chains ? capacity : 0) : 0;
}

void aplomb_follow_desc_init(aplomb_follow_desc* desc, size_t size) {
    init_struct(desc, size, default_desc());
}
void aplomb_follow_frame_init(aplomb_follow_frame* frame, size_t size) {
    init_struct(frame, size, default_frame());
}
void aplomb_follow_shot_init(aplomb_follow_shot* shot, size_t size) {
    init_struct(shot, size, {});
}

aplomb_status aplomb_follow_create(const aplomb_figure* figure, const aplomb_follow_desc* desc,
                                   const aplomb_allocator* allocator, aplomb_follow** follow,
                                   aplomb_error* error) {
    if (!follow)
        return fail(error, APLOMB_BAD_ARGUMENT, "follow", -1, "follow is NULL; it takes the new plan.");
    *follow = nullptr;
    if (!figure) return fail(error, APLOMB_BAD_ARGUMENT, "figure", -1, "figure is NULL.");
    if (const auto s = check_struct(desc, "desc", error)) return s;
    if (const auto s = check_allocator(allocator, error)) return s;
    const auto take = [](Layout& layout) -> Follow* { return layout.take<aplomb_follow>(1); };
    Follow* made = nullptr;
    FollowAsk ask;
    if (const auto s = check_follow(*figure, read_struct(desc, default_desc()), ask, error)) return s;
    const aplomb_status status = make_follow(*figure, ask, allocator, take, &made, error);
    *follow = static_cast<aplomb_follow*>(made);
    return status;
}

void aplomb_follow_destroy(aplomb_follow* follow) {
    destroy_follow(follow);
}

double aplomb_follow_frequency(const aplomb_follow* follow, int32_t chain) {
    return follow && chain >= 0 && chain < follow->chain_count ? follow->chains[chain].rate[0] / (2 * pi) : 0;
}

double aplomb_follow_settling_time(const aplomb_follow* follow) {
    constexpr double part = 0.1; // half a degree is left of five
    double longest = 0;
    for (int32_t i = 0; follow && i < follow->chain_count; ++i) {
        const FollowChain& chain = follow->chains[i];
        const double time = settle_time(chain.rate[0], chain.damping[0], part);
        if (chain.set.on && time > longest) longest = time;
    }
    return longest;
}

int32_t aplomb_follow_state_size(const aplomb_follow* follow) {
    return follow ? follow->state_size : 0;
}

aplomb_status aplomb_follow_reset(const aplomb_follow* follow, double* state, aplomb_error* error) {
    if (const auto s = check_state(follow, state, error)) return s;
    reset_state(*follow, state);
    return APLOMB_OK;
}

aplomb_status aplomb_follow_teleport(const aplomb_follow* follow, double* state, aplomb_error* error) {
    if (const auto s = check_used_state(follow, state, error)) return s;
    state[state_frames] = 0;
    return APLOMB_OK;
}

int32_t aplomb_follow_at_rest(const aplomb_follow* follow, const double* state) {
    return !check_state(follow, state, nullptr) && at_rest(*follow, state);
}

aplomb_status aplomb_follow_step(const aplomb_follow* follow, double* state, const aplomb_follow_frame* frame,
                                 void* rotations, aplomb_error* error) {
    if (const auto s = check_used_state(follow, state, error)) return s;
    if (const auto s = check_struct(frame, "frame", error)) return s;
    if (!rotations)
        return fail(error, APLOMB_BAD_ARGUMENT, "rotations", -1,
                    "rotations is NULL; it takes 4 numbers per joint.");
    const aplomb_follow_frame full = read_struct(frame, default_frame());
    if (const auto s = check_frame(*follow, full, error)) return s;
    const FollowInput input = input_of(*follow, full);
    const size_t number = full.floats ? sizeof(float) : sizeof(double);
    if (rotations != full.rotations)
        std::memmove(rotations, full.rotations,
                     4 * static_cast<size_t>(follow->figure->joint_count) * number);
    step(*follow, state, input, Rest::comes, rotations);
    return APLOMB_OK;
}

aplomb_status aplomb_follow_frames(const aplomb_follow* follow, double* state, const aplomb_follow_shot* shot,
                                   double* rotations, aplomb_error* error) {
    if (const auto s = check_state(follow, state, error)) return s;
    if (const auto s = check_struct(shot, "shot", error)) return s;
    if (!rotations)
        return fail(error, APLOMB_BAD_ARGUMENT, "rotations", -1,
                    "rotations is NULL; it takes 4 numbers per joint and frame.");
    const aplomb_follow_shot full = read_struct(shot, {});
    if (const auto s = check_shot(*follow, full, error)) return s;
    ShotInput in;
    in.frame_count = full.frame_count, in.closed = full.closed != 0;
    in.frame_time = full.frame_time, in.times = full.times;
    in.translations = full.translations, in.rotations = full.rotations;
    in.keyed_translations = full.keyed_translations, in.keyed_rotations = full.keyed_rotations;
    follow_shot(*follow, state, in, rotations);
    return APLOMB_OK;
}
