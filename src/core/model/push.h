// SPDX-License-Identifier: MIT
// Gradients, by the transposed derivative: weights on what the model measures are laid on the links as forces and
// torques, and one sweep down to the hips turns them into the gradient of the weighted sum, in x.
#pragma once

#include "model/model.h"

namespace aplomb {

/// A force and a torque about the ground's origin, on one link.
struct Wrench {
    Vec3 force, torque;
};

class Push {
public:
    /// `state` is placed and differentiated. `wrench` has one entry per link, all zero, and is so again after finish().
    Push(const Model& model, const ModelState& state, Wrench* wrench);

    /// Begins a gradient of variable_count numbers.
    void begin(double* out);

    void variable(int i, double weight);
    void balance_point(const Vec2& weight);
    /// row . (first moment of all masses)
    void first_moment(const Vec3& row);
    void place(int link, const Vec3& at_point, const Vec3& force);
    /// torque . (turn rate of a link)
    void turn(int link, const Vec3& torque);
    /// From start to end of a fixed limb.
    void distance(int limb, double weight);
    /// torque . (turn rate of the limb's first span against the link that it starts from)
    void start_turn(int limb, const Vec3& torque);
    /// torque . (turn rate of the limb's second span)
    void lower_turn(int limb, const Vec3& torque);
    /// torque . (turn rate of the limb's end against its second span)
    void end_turn(int limb, const Vec3& torque);

    /// Finishes the gradient. Returns how many of its leading numbers may differ from zero.
    int finish();

    /// Both components of the balance point's gradient. Later gradients are put together from them, so they have to
    /// stay where they are, in x.
    void find_balance_point(double* fore, double* left);

private:
    void moment(const Vec3& row);
    void follower(int i, const Vec3& force, Vec3 torque);
    void hanging_arm(int i, Vec3 force, const Vec3& torque);
    void limb(int i, const Vec3& with_start, const Vec3& upper, const Vec3& lower, Vec3 apart);
    void base_turn(int i, const Vec3& torque);
    void level_point(const Vec3& at, const Vec3& force);
    void level_turn(const Vec3& torque);
    void find_level_ahead();
    void start(double* out);
    void lay_level();
    void body_point(const BodyPoint& point, const Vec3& force);
    void limb_moment(int limb, const Vec3& row, double upper_mass, const Vec3& upper, double lower_mass,
                     const Vec3& lower, double end_mass);
    void pulled_point(const PulledPoint& pull, const Vec3& row);
    void sweep();

    const Model& model_;
    const Reduction& r_;
    const ModelState& state_;
    Wrench* wrench_;
    double* out_ = nullptr;
    const double *fore_ = nullptr, *left_ = nullptr;
    Vec2 balance_point_;
    Wrench level_; // on the level load, about its place, until the end
    bool on_level_ = false;
    double ahead_[max_variables]; // the gradient of the level load's way ahead
    int ahead_width_ = 0;         // its numbers that may differ from zero, 0: not known yet
    double on_ahead_ = 0;         // what it is weighted with
    int top_ = -1;                // the last link that something was laid on
    int width_ = 0;
};

} // namespace aplomb
