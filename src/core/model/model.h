// SPDX-License-Identifier: MIT
// The reduced model at one setting of its variables: where links, arms and limbs are, the balance point, and
// the gradient of anything that depends on them. x holds hip shift (fore, left, up), hip turn (own axes), 3
// numbers per block of lean joints, and swivels.
#pragma once

#include "model/reduction.h"

namespace aplomb {

struct LinkState {
    Quat turn; // since the key
    Vec3 pivot;
    Vec3 moment; // of its lump, about the pivot
    Mat3 axes;   // its own turn rate per change of its three numbers
};

struct ArmState {
    Quat turn;
    Vec3 start, moment;
    Mat3 follow; // its turn rate per turn rate of the link
};

struct LimbState {
    TwoSpanState span;
    Vec3 upper_moment, lower_moment; // about start and middle
};

struct ModelState {
    double x[max_variables];
    LinkState* link = nullptr;
    ArmState* arm = nullptr;
    LimbState* limb = nullptr;
    Vec2 balance_point;
    Vec3 chest_turn; // rotation vector of the chest since the key
    Vec3 head_turn;
};

/// A force and a torque about the ground's origin, on one link.
struct Wrench {
    Vec3 force, torque;
};

class Model {
public:
    Model(const Situation& situation, const Reduction& reduction, Wrench* scratch)
        : s_(situation), r_(reduction), wrench_(scratch) {}

    /// Fills `state` for its x.
    void place(ModelState& state) const;
    /// Adds what gradients need and values do not; after place().
    void differentiate(ModelState& state) const;

    // Gradients in x, of variable_count numbers each.
    void balance_point_gradient(const ModelState& state, double* fore, double* left) const;
    /// Of  fore . balance point along + left . balance point aside + sum limb_i distance_i + torque . head's turn,
    /// all at once.
    void sum_gradient(const ModelState& state, double fore, double left, const double* limb,
                      const Vec3& head_torque, double* out) const;
    void distance_gradient(const ModelState& state, int limb, double* out) const;
    /// torque . (turn rate of the limb's first span against the link that it starts from)
    void start_turn_gradient(const ModelState& state, int limb, const Vec3& torque, double* out) const;
    /// torque . (turn rate of the limb's end against its second span)
    void end_turn_gradient(const ModelState& state, int limb, const Vec3& torque, double* out) const;
    /// torque . (turn rate of a link)
    void link_turn_gradient(const ModelState& state, int link, const Vec3& torque, double* out) const;

    /// How many of the variables, from the first, the place of a link depends on.
    int width_of(int link) const {
        return link == 0 ? Reduction::first_block : r_.block_variable(r_.link[link].block) + 3;
    }

    const Situation& situation() const { return s_; }
    const Reduction& reduction() const { return r_; }

private:
    void place_links(ModelState& state) const;
    void place_hangers(ModelState& state) const;
    Vec2 find_balance_point(const ModelState& state) const;
    Vec3 place_pull(const ModelState& state, const PulledPoint& pull) const;
    void clear() const;
    void push(int link, const Vec3& force, const Vec3& at) const;
    void push_limb(const ModelState& state, int limb, const Vec3& row, double upper_mass, const Vec3& upper,
                   double lower_mass, const Vec3& lower, double end_mass, double* out) const;
    void push_row(const ModelState& state, const Vec3& row, double* out) const;
    void push_pull(const ModelState& state, const PulledPoint& pull, const Vec3& row, double* out) const;
    void sweep(const ModelState& state, double* out) const;
    void walk_down(const ModelState& state, int link, const Vec3& force, const Vec3& at, const Vec3& torque,
                   double* out) const;

    const Situation& s_;
    const Reduction& r_;
    Wrench* wrench_; // one per link
};

} // namespace aplomb
