// SPDX-License-Identifier: MIT
// Where the figure's joints and dots are, from the numbers that are fitted; for double and for Ceres' numbers with
// derivatives. World: x to the right of the picture, y up, z at the viewer; the hips are the origin.
#pragma once

#include <ceres/rotation.h>

#include "fit/drawing/parameters.h"

namespace aplomb::drawing {

/// Columns: where left, up and forward go.
template<class T>
struct Turn {
    Point<T> x, y, z;
    Point<T> operator*(const Point<T>& p) const {
        return {x.x * p.x + y.x * p.y + z.x * p.z, x.y * p.x + y.y * p.y + z.y * p.z,
                x.z * p.x + y.z * p.y + z.z * p.z};
    }
    Turn operator*(const Turn& b) const { return {*this * b.x, *this * b.y, *this * b.z}; }
};

/// exp(x, y, z)
template<class T>
Turn<T> turn_of(const T& x, const T& y, const T& z) {
    const T vector[3] = {x, y, z};
    T m[9]; // by columns
    ceres::AngleAxisToRotationMatrix(vector, m);
    return {{m[0], m[1], m[2]}, {m[3], m[4], m[5]}, {m[6], m[7], m[8]}};
}
/// The same as in model/swing_twist.h: exp(x, 0, z) exp(0, y, 0).
template<class T>
Turn<T> swing_and_twist(const T* p) {
    const T none(0.0);
    return turn_of(p[0], none, p[2]) * turn_of(none, p[1], none);
}

/// What stays the same during a fit.
struct Known {
    Proportions proportions;
    double stature = 0;
    Division division;
    double heading = 0; // first guess
};

template<class T>
struct Body {
    std::array<Turn<T>, joint_count> local, turn;
    std::array<Point<T>, joint_count> place;
    std::array<Point<T>, APLOMB_DOT_COUNT> dot;
    Skeleton<T> skeleton;

    Body(const Known& known, const T* p) : Body(known, p, factors(p)) {}

    /// A place in the joint's own frame.
    Point<T> of(int joint, const Point<T>& own) const {
        const auto j = static_cast<std::size_t>(joint);
        return place[j] + turn[j] * own;
    }
    Point<T> heel(int side) const {
        const auto& ball = skeleton.offset[static_cast<std::size_t>(leg_joint(side, toe))];
        // The ankle stands at a quarter of the foot's length, its height at .26 of it.
        const T length = ball.z / T(ball_ahead);
        return of(leg_joint(side, foot), {T(0.0), T(-ankle_height) * length, T(-.25) * length});
    }
    Point<T> ball(int side) const {
        const auto& at = skeleton.offset[static_cast<std::size_t>(leg_joint(side, toe))];
        const T length = at.z / T(ball_ahead);
        return of(leg_joint(side, foot), {at.x, T(-ankle_height) * length, at.z});
    }

private:
    using Factors = std::array<T, length_count>;
    static Factors factors(const T* p) {
        using std::exp;
        Factors f;
        for (int k = 0; k < length_count; ++k)
            f[static_cast<std::size_t>(k)] = exp(p[lengths + k]);
        return f;
    }

    Body(const Known& known, const T* p, const Factors& f)
        : skeleton(known.proportions, known.stature, f.data()) {
        turn_joints(known, p);
        for (int j = 0; j < joint_count; ++j) {
            const auto k = static_cast<std::size_t>(j);
            if (j == hips) {
                turn[k] = local[k], place[k] = skeleton.offset[k];
                continue;
            }
            const auto above = static_cast<std::size_t>(parent_of(j));
            place[k] = place[above] + turn[above] * skeleton.offset[k];
            turn[k] = turn[above] * local[k];
        }
        put_dots();
    }
    void turn_joints(const Known& known, const T* p) {
        const T none(0.0);
        const auto set = [this](int joint, const Turn<T>& t) { local[static_cast<std::size_t>(joint)] = t; };
        set(hips,
            turn_of(none, T(known.heading) + p[heading], none) * turn_of(p[hips_bend], none, p[hips_lean]));
        const auto divided = [&](int first, int count, const Divided& by, const T* whole) {
            for (int k = 0; k < count; ++k)
                set(first + k, turn_of(T(by.part[k].x) * whole[0], T(by.part[k].y) * whole[1],
                                       T(by.part[k].z) * whole[2]));
        };
        divided(spine_1, 3, known.division.spine, p + spine_turn);
        divided(neck, 2, known.division.neck, p + neck_turn);
        for (int side = 0; side < 2; ++side) {
            set(arm_joint(side, girdle), turn_of(none, p[girdle_of(side) + 1], p[girdle_of(side)]));
            set(arm_joint(side, upper_arm), swing_and_twist(p + arm_of(side)));
            set(arm_joint(side, lower_arm), turn_of(p[arm_of(side) + 3], none, none));
            set(arm_joint(side, hand), turn_of(none, none, none));
            set(leg_joint(side, thigh), swing_and_twist(p + leg_of(side)));
            set(leg_joint(side, shank), turn_of(p[leg_of(side) + 3], none, none));
            set(leg_joint(side, foot), turn_of(p[ankle_of(side)], none, p[ankle_of(side) + 1]));
            set(leg_joint(side, toe), turn_of(none, none, none));
        }
    }
    void put_dots() {
        const auto at = [this](int joint) { return place[static_cast<std::size_t>(joint)]; };
        dot[APLOMB_DOT_CROWN] = of(head, skeleton.crown);
        dot[APLOMB_DOT_CHIN] = of(head, skeleton.chin);
        dot[APLOMB_DOT_NECK] = at(neck);
        for (int side = 0; side < 2; ++side) {
            const auto put = [&](aplomb_dot left, const Point<T>& p) {
                dot[static_cast<std::size_t>(left + side)] = p;
            };
            put(APLOMB_DOT_LEFT_SHOULDER, at(arm_joint(side, upper_arm)));
            put(APLOMB_DOT_LEFT_ELBOW, at(arm_joint(side, lower_arm)));
            put(APLOMB_DOT_LEFT_WRIST, at(arm_joint(side, hand)));
            put(APLOMB_DOT_LEFT_HIP, at(leg_joint(side, thigh)));
            put(APLOMB_DOT_LEFT_KNEE, at(leg_joint(side, shank)));
            put(APLOMB_DOT_LEFT_ANKLE, at(leg_joint(side, foot)));
            put(APLOMB_DOT_LEFT_TOE, of(leg_joint(side, toe), skeleton.toe_tip));
        }
    }
};

/// Takes points from the world to the picture.
template<class T>
struct View {
    T cosine, sine;                                       // of the tilt
    T scale;                                              // pixels per metre at the hips
    T hips_x, hips_y;                                     // pixels
    double middle_x = 0, middle_y = 0, inverse_focal = 0; // 0: parallel

    void project(const Point<T>& p, T& x, T& y) const {
        const T up = cosine * p.y - sine * p.z;
        T near(1.0);
        if (inverse_focal > 0)
            near = T(1.0) / (T(1.0) - T(inverse_focal) * scale * (sine * p.y + cosine * p.z));
        x = T(middle_x) + ((hips_x - T(middle_x)) + scale * p.x) * near;
        y = T(middle_y) + ((hips_y - T(middle_y)) - scale * up) * near;
    }
};

} // namespace aplomb::drawing
