// SPDX-License-Identifier: MIT
// The reduced model at one setting of its variables: where links, followers and limbs are, the balance point.
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

struct FollowerState {
    Quat turn;
    Vec3 start, moment;
    Mat3 follow;           // its turn rate per turn rate of the link, but for its clearance
    Quat clear;            // what the clearance adds
    double clear_rate = 0; // of its angle, by the gap
    double asked = 0;      // its angle by the gap, about `ahead`, of one that is given
};

struct LimbState {
    TwoSpanState span;
    Vec3 upper_moment, lower_moment; // about start and middle
    // Of an arm whose elbow swivels: how its spans turn but for that, where the chest faces, and the rate of the swivel by the sine of the
    // upper arm's angle behind the chest.
    SpanRates bare;
    Vec3 bare_upper, ahead; // unit
    double swivel_slope = 0;
};

struct LevelState {
    Vec3 place, moment;
    Quat turn;
    double follow[max_obstacles + 1]; // of the fore part, by each obstacle and then by the axis
};

struct ModelState {
    double x[max_variables];
    LinkState* link = nullptr;
    FollowerState* follower = nullptr;
    LimbState* limb = nullptr;
    LevelState level;
    Vec3 first_moment; // of all masses, about the ground's origin
    Vec2 balance_point;
    Vec3 chest_turn; // rotation vector of the chest since the key
};

class Model {
public:
    Model(const Key& key, const Reduction& reduction) : s_(key), r_(reduction) {}

    /// Fills `state` for its x.
    void place(ModelState& state) const;
    /// Adds what gradients need and values do not; after place().
    void differentiate(ModelState& state) const;

    /// How many of the variables, from the first, the place of a link depends on.
    int width_of(int link) const {
        return link == 0 ? Reduction::first_block : r_.block_variable(r_.link[link].block) + 3;
    }

    /// The turn since the key of what a fixed limb starts from.
    const Quat& base_turn(const ModelState& state, const FixedLimb& limb) const {
        return limb.follower < 0 ? state.link[limb.link].turn : state.follower[limb.follower].turn;
    }
    /// World, from the ground's origin.
    Vec3 place(const ModelState& state, const BodyPoint& point) const;
    Vec3 place_pull(const ModelState& state, const PulledPoint& pull) const;

    Vec3 with_chest(const ModelState& state, const FixedLimb& limb) const;
    Quat end_turn(const ModelState& state, const FixedLimb& limb) const;

    const Key& key() const { return s_; }
    const Reduction& reduction() const { return r_; }

private:
    void place_links(ModelState& state) const;
    /// Rotation vector of a link since the key.
    Vec3 turn_of(const ModelState& state, int link) const;
    void place_followers(ModelState& state) const;
    void place_limbs(ModelState& state, bool that_hold) const;
    void place_level(ModelState& state) const;
    void keep_clear(ModelState& state) const;
    Vec3 start_of(const ModelState& state, const FixedLimb& limb) const;
    Vec3 end_of(const ModelState& state, const FixedLimb& limb, const Vec3& start) const;
    void swivel_elbow(const ModelState& state, const Elbow& elbow, const TwoSpan& span,
                      LimbState& limb) const;
    Vec3 find_first_moment(const ModelState& state) const;

    const Key& s_;
    const Reduction& r_;
};

} // namespace aplomb
