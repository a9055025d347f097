// SPDX-License-Identifier: MIT
// The figure that is laid under a drawing: its joints, and where they are in its neutral at given lengths. All hangs
// straight down there, and no joint is turned, so a joint's rotation is its turn from the anatomical neutral.
//
// Adult: heights and lengths over stature from Drillis and Contini 1966 (in Winter, Biomechanics, figure 4.1), arms from de
// Leva 1996, the foot from ANSUR II 2012. Child and toddler, and how far the chin is ahead: common practice.
#pragma once

#include <array>
#include <memory>

#include "aplomb/drawing.h"

namespace aplomb::drawing {

enum Joint {
    hips,
    spine_1,
    spine_2,
    spine_3,
    neck,
    head,
    arm_joints,                  // left girdle, upper arm, lower arm, hand; then right
    leg_joints = arm_joints + 8, // left thigh, shank, foot, toe; then right
    joint_count = leg_joints + 8
};
enum ArmJoint { girdle, upper_arm, lower_arm, hand };
enum LegJoint { thigh, shank, foot, toe };
constexpr int arm_joint(int side, ArmJoint part) {
    return arm_joints + 4 * side + part;
}
constexpr int leg_joint(int side, LegJoint part) {
    return leg_joints + 4 * side + part;
}
/// The joint that carries this one; -1 for the hips.
int parent_of(int joint);
/// +1 left, -1 right.
constexpr double sign_of(int side) {
    return side == 0 ? 1.0 : -1.0;
}

/// Parts of the stature; heights are those of an upright body.
struct Proportions {
    double hips, spine[3], neck, head, chin, chin_ahead;
    double shoulder_half, shoulder_height, upper_arm, lower_arm, hand;
    double hip_half, knee, foot;
    double stature; // metres, where none is given
};
const Proportions& proportions_of(int32_t build);

/// The lengths that may differ from the build's, each by a factor of its own.
enum Length {
    trunk_length,
    head_length,
    shoulder_breadth,
    upper_arm_length,
    lower_arm_length,
    hip_breadth,
    thigh_length,
    shank_length,
    foot_length,
    length_count
};

inline constexpr double ankle_height = .26, ball_ahead = .74 - .25, ball_height = .1, toe_ahead = .26,
                        toe_down = .05; // of the foot's length

template<class T>
struct Point {
    T x{}, y{}, z{}; // left, up, forward
};
template<class T>
Point<T> operator+(const Point<T>& a, const Point<T>& b) {
    return {a.x + b.x, a.y + b.y, a.z + b.z};
}
template<class T>
Point<T> operator-(const Point<T>& a, const Point<T>& b) {
    return {a.x - b.x, a.y - b.y, a.z - b.z};
}

/// Offsets from the parent joint, and the ends of head, hands and feet in their own joint's frame; metres.
template<class T>
struct Skeleton {
    std::array<Point<T>, joint_count> offset;
    Point<T> crown, chin, finger_tip, toe_tip;

    /// `lengths`: length_count factors.
    Skeleton(const Proportions& p, double stature, const T* lengths) {
        const auto metres = [stature](double part, const T& length) { return T(part * stature) * length; };
        const T none(0.0);
        const T& trunk = lengths[trunk_length];
        const T& top = lengths[head_length];
        const double levels[] = {p.hips, p.spine[0], p.spine[1], p.spine[2], p.neck};
        offset[hips] = {none, none, none};
        for (int k = 1; k < 5; ++k)
            offset[static_cast<std::size_t>(k)] = {none, metres(levels[k] - levels[k - 1], trunk), none};
        offset[head] = {none, metres(p.head - p.neck, top), metres(.01, top)};
        crown = {none, metres(1 - p.head, top), none};
        chin = {none, metres(p.chin - p.head, top), metres(p.chin_ahead, top)};
        for (int side = 0; side < 2; ++side) {
            const double out = sign_of(side);
            const auto at_arm = [&](ArmJoint part) -> Point<T>& {
                return offset[static_cast<std::size_t>(arm_joint(side, part))];
            };
            const auto at_leg = [&](LegJoint part) -> Point<T>& {
                return offset[static_cast<std::size_t>(leg_joint(side, part))];
            };
            const T& breadth = lengths[shoulder_breadth];
            at_arm(girdle) = {metres(.02 * out, breadth), metres(p.shoulder_height - .01 - p.spine[2], trunk),
                              none};
            at_arm(upper_arm) = {metres((p.shoulder_half - .02) * out, breadth), metres(.01, trunk), none};
            at_arm(lower_arm) = {none, metres(-p.upper_arm, lengths[upper_arm_length]), none};
            at_arm(hand) = {none, metres(-p.lower_arm, lengths[lower_arm_length]), none};
            at_leg(thigh) = {metres(p.hip_half * out, lengths[hip_breadth]), none, none};
            at_leg(shank) = {none, metres(p.knee - p.hips, lengths[thigh_length]), none};
            at_leg(foot) = {none, metres(ankle_height * p.foot - p.knee, lengths[shank_length]), none};
            at_leg(toe) = {none, metres((ball_height - ankle_height) * p.foot, lengths[foot_length]),
                           metres(ball_ahead * p.foot, lengths[foot_length])};
        }
        finger_tip = {none, metres(-p.hand, lengths[lower_arm_length]), none};
        toe_tip = {none, metres(-toe_down * p.foot, lengths[foot_length]),
                   metres(toe_ahead * p.foot, lengths[foot_length])};
    }
};

struct DestroyFigure {
    void operator()(aplomb_figure* figure) const { aplomb_figure_destroy(figure); }
};
using Figure = std::unique_ptr<aplomb_figure, DestroyFigure>;

/// The library's figure of these lengths.
aplomb_status make_figure(int32_t build, const Skeleton<double>& skeleton, double mass, Figure& figure,
                          aplomb_error* error);

/// "left_upper_arm"
const char* joint_name(int joint);

} // namespace aplomb::drawing
