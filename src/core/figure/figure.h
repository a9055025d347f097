// SPDX-License-Identifier: MIT
// The articulated character. Immutable once built (build.h); everything inside is metres, kilograms, radians
// and the anatomical axes: x left, y up, z forward. Host units and axes are met at the border only (frame.h).
#pragma once

#include <cstdint>

#include "aplomb/aplomb.h"
#include "base/rotation.h"

namespace aplomb {

/// Lowest and highest rotation from the anatomical neutral, component by component: bend forward (about x),
/// twist left (about y), lean right (about z). For a limb's first joint: two swing components and the twist
/// about the bone.
struct Limits {
    Vec3 lowest, highest;
};

/// Inertia about a segment's own centre, in its joint's frame.
struct Inertia {
    double xx = 0, yy = 0, zz = 0, xy = 0, xz = 0, yz = 0;
};

struct Joint {
    int32_t parent = -1;
    /// Whose segment this one is joined to: the parent, or where a file hangs a foot from its root, the shank
    /// that it meets (carriers.cpp). Placing goes by parents; what moves with what goes by carriers.
    int32_t carrier = -1;
    aplomb_role role = APLOMB_ROLE_HELPER;
    aplomb_side side = APLOMB_SIDE_MIDDLE;
    const char* name = "";
    Vec3 rest_translation; // relative to the parent
    Quat rest_rotation;
    Vec3 tip; // where the segment ends, own frame
    double mass = 0;
    Vec3 centre; // own frame
    Inertia inertia;
    Limits limits;
    Quat neutral;          // rotation in the world in the anatomical neutral
    Vec3 neutral_position; // in the world in the anatomical neutral
    aplomb_origin mass_origin = APLOMB_ORIGIN_GIVEN;
    aplomb_origin limit_origin = APLOMB_ORIGIN_GIVEN;
};

inline constexpr int max_sole_points = 16;

/// The under-side of a foot (or paw, or hoof). Heel-part points ride on the end joint, ball-part points on
/// the toe joint where there is one.
struct Sole {
    int point_count = 0; // 0: none
    struct Point {
        int32_t joint;
        Vec3 position; // in that joint's frame
        bool ball;     // belongs to the part in front of the ball line
    } points[max_sole_points];
    // Ends of the sole's centre line, in the end joint's frame as in the neutral pose.
    Vec3 heel, tip;
    double ball_place = 1; // how far along that line the ball's part begins
    bool is_paw =
        false; // all of it rides on the toe joint: what stands on its toes has no heel on the ground
    double length = 0, breadth = 0;
    aplomb_origin origin = APLOMB_ORIGIN_SHAPE;
};

/// Two spans and an end.
struct Limb {
    aplomb_limb_kind kind = APLOMB_LEG;
    aplomb_side side = APLOMB_SIDE_LEFT;
    int32_t upper = -1, lower = -1, end = -1, toe = -1;
    double length = 0; // of both spans in the rest pose
    Vec3 hinge;        // axis that bends the middle joint the natural way by a positive turn of the lower
                       // span; neutral world axes
    double least_bend, most_bend; // of the middle joint, radians from straight
    Vec3 palm;                    // where the end grips or touches, in the end joint's frame
    double front = 0;             // of a leg: how far the thigh's skin lies ahead of its axis; 0: not known
    double outside = 0;           // and how far the skin from there to the shank's middle lies outside of it
    Sole sole;
};

/// One moving joint of spine or neck and its part of the whole (sums to 1 with the hips' own part for the
/// spine, to 1 for the neck), by axis: bend, twist, lean.
struct LeanJoint {
    int32_t joint = -1;
    Vec3 share;
};

inline constexpr int front_levels = 9;

/// How far the trunk's skin is ahead of the trunk's axis, at even heights from the hips to the middle of the shoulders.
struct Front {
    bool known = false;
    double ahead[front_levels] = {};
};

inline constexpr int max_lean_joints = 32;
inline constexpr int max_limbs = 12;
inline constexpr int max_apart = 2 * max_limbs; // joints whose carrier is not their parent

struct Remark {
    const char* text;
    aplomb_doubt doubt = APLOMB_DOUBT_NONE;
};

/// Host units and axes <-> metres and anatomical axes.
struct Frame {
    double metres_per_unit = 1;
    Quat to_anatomical; // rotates host axes, reflected where they are left-handed, onto left, up, forward
    bool left_handed = false;
};

/// All arrays of a figure lie in the same block of memory as the figure itself.
struct Figure {
    aplomb_allocator allocator{};
    size_t block_size = 0;

    Frame frame;
    int32_t joint_count = 0;
    Joint* joints = nullptr;
    int32_t* order =
        nullptr; // all joints, carriers before what they carry; by index where carriers are parents
    int32_t apart_count = 0; // joints whose carrier is not their parent

    int32_t hips = -1;
    int32_t chest = -1; // the last spine joint; the hips where there is none
    int32_t head = -1;
    int32_t spine_count = 0, neck_count = 0, limb_count = 0;
    LeanJoint spine[max_lean_joints];
    LeanJoint neck[max_lean_joints];
    Limb limbs[max_limbs];

    double total_mass = 0;
    double stature = 0;     // ground to crown in the neutral
    double leg_length = 0;  // mean of the legs' (a quadruped's: of all legs')
    double sole_length = 0; // mean of the soles'
    Front front;
    const char* mass_source = "";
    int32_t remark_count = 0;
    Remark* remarks = nullptr;
};

/// A pose in metres and anatomical axes: one translation and one unit rotation per joint.
struct PoseView {
    const Vec3* translations;
    const Quat* rotations;
};

/// Where every joint is in the world.
struct Placement {
    Vec3 position;
    Quat rotation;
};

/// One joint, whose parent is placed.
void place_joint(const Figure& figure, const PoseView& pose, int joint, Placement* world);
/// Forward kinematics; `world` holds one entry per joint.
void place_joints(const Figure& figure, const PoseView& pose, Placement* world);

inline Vec3 to_world(const Placement& p, const Vec3& local) {
    return p.position + rotate(p.rotation, local);
}

} // namespace aplomb
