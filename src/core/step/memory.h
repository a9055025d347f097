// SPDX-License-Identifier: MIT
// All that the loop remembers of one character, in metres, seconds and anatomical world axes. It holds numbers alone,
// without gaps, so that the same memory is the same bytes.
#pragma once

#include <type_traits>

#include "figure/figure.h"

namespace aplomb {

inline constexpr int most_feet = 6;    // limbs with soles that are remembered
inline constexpr int most_patches = 6; // other things that bear: hands, knees, a seat
// Numbers of a correction: hips' shift and turn, the lean joints' own; then what arms, a level load and the neck do on their own.
inline constexpr int first_arm = 30,
                     most_arms = 2; // arms that are followed; further ones do nothing on their own
inline constexpr int arm_lower = 3, arm_girdle = 6, arm_elbow = 7, arm_clear = 8, arm_give_back = 9,
                     arm_numbers = 10; // after its upper arm's turn
inline constexpr int sink_number = first_arm + most_arms * arm_numbers, pull_number = sink_number + 1,
                     neck_number = sink_number + 2, most_followed = sink_number + 3;
inline constexpr int history_length = 48;
inline constexpr int frames_between_trials = 15; // of a start afresh, while the last answer is doubted

inline bool is_foot(const Limb& limb) {
    return limb.kind != APLOMB_ARM && limb.sole.point_count > 0;
}

/// The heel's or the ball's part of a sole.
struct PartMemory {
    Vec3 place, velocity;
    double ground = 0;    // height of what it stands on
    double stands = 0;    // 1: it touches
    double still_for = 0; // seconds that it has been slow
    double ramp = 0;      // of its bearing, 0 to 1
};

struct FootMemory {
    PartMemory part[2];       // heel, ball
    Vec3 heel, tip;           // where the sole's centre line last stood
    double standing = 0;      // 1: some part touches
    double since_landing = 0; // seconds; below 0: none was seen
    double ride = 0;          // how much of its hip joint's shift the foot goes along with
};

/// Something else that bears.
struct PatchMemory {
    double key = 0; // 0: none
    double ramp = 0;
    Vec3 middle;
};

/// What a frame asks for: the way of the balance point to its rest point, and the hips' part of it. Level.
struct Need {
    Vec3 aim, hips;
};

/// Of these hips' shift and turn are in world axes, turns of upper arms in keyed world axes.
struct Followed {
    double at[most_followed] = {};
};

struct StepMemory {
    double running = 0; // frames so far, at most 2; 0: the next step starts anew
    double count = 0;   // numbers of the correction in use
    Followed is, speed, sound;
    double trust = 0;
    double carry[2] = {}; // how far the balance point goes with the hips, along and across; 0: not known
    double doubt = 0;     // frames until an answer that costs much is sought afresh
    Vec3 hips, centre, velocity; // keyed; the centre of mass's velocity is smoothed
    double height = 0;           // of the centre of mass over its ground
    double in_flight = 0;        // seconds
    Need need, kept, lag;        // now; as it was filtered at the last contact; filtered
    // The last stride: samples in heading axes.
    double period = 0, agreement = 0; // seconds, 0 to 1
    double next_sample = 0, sample_count = 0, since_sample = 0;
    FootMemory foot[most_feet];
    PatchMemory patch[most_patches];
    float history[history_length][4] = {};
};
static_assert(std::is_trivially_copyable_v<StepMemory>);
static_assert(sizeof(StepMemory) <= APLOMB_STEP_NUMBERS * sizeof(double));

/// Which figure a state was made with: the same for figures that are built in the same way.
uint32_t check_of(const Figure& figure);

} // namespace aplomb
