// SPDX-License-Identifier: MIT
// The reduced model at one setting of its variables: where links, arms and limbs are, the balance point.
// Gradients are push.h's. x holds hip shift (fore, left, up), hip turn (own axes), 3
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
    Vec3 first_moment; // of all masses, about the ground's origin
    Vec2 balance_point;
    Vec3 chest_turn; // rotation vector of the chest since the key
    Vec3 head_turn;
    Mat3 head_rate; // of head_turn per turn rate of its link
};

class Model {
public:
    Model(const Situation& situation, const Reduction& reduction) : s_(situation), r_(reduction) {}

    /// Fills `state` for its x.
    void place(ModelState& state) const;
    /// Adds what gradients need and values do not; after place().
    void differentiate(ModelState& state) const;

    /// How many of the variables, from the first, the place of a link depends on.
    int width_of(int link) const {
        return link == 0 ? Reduction::first_block : r_.block_variable(r_.link[link].block) + 3;
    }

    /// World, from the ground's origin.
    Vec3 place_pull(const ModelState& state, const PulledPoint& pull) const;

    const Situation& situation() const { return s_; }
    const Reduction& reduction() const { return r_; }

private:
    void place_links(ModelState& state) const;
    void place_hangers(ModelState& state) const;
    Vec3 find_first_moment(const ModelState& state) const;

    const Situation& s_;
    const Reduction& r_;
};

} // namespace aplomb
