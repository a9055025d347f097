// SPDX-License-Identifier: MIT
// The keyed pose with one of its two bearing feet moved along the ground.
#pragma once

#include "balance/balance.h"

namespace aplomb {

/// What a step asks of the body, beside its length.
struct StepMeasures {
    double drop = 0;                                     // metres that the hips sink
    double knee_bend[2] = {0, 0};                        // radians, as placed
    double ankle_up = 0, ankle_down = 0, ankle_side = 0; // of the moved foot against its shank, radians
    bool reaches = true;
};

/// Keeps what is keyed of both legs, writes steps over it and takes them back.
class SteppedPose {
public:
    SteppedPose(const Figure& figure, const BodyPlan& plan, const PoseRoom& room, Key& key);

    /// False where the stance is not two feet on legs that hang on the hips, and nothing else fixed.
    bool serves() const { return serves_; }
    /// 0 or 1, contact by contact.
    const Limb& limb(int foot) const { return *leg_[foot].limb; }
    Vec2 middle(int foot) const { return leg_[foot].middle; }
    /// Of a foot from its neutral place under its hip.
    Vec2 from_neutral_place(int foot) const { return leg_[foot].offset; }
    double hip_width() const;

    StepMeasures keyed(int foot) const;
    /// Moves the foot; the key is that of the stepped pose.
    StepMeasures step(int foot, const Vec2& way);
    void take_back();
    /// Joints that a step writes.
    void list(Changed& changed) const;

private:
    struct Leg {
        const Limb* limb = nullptr;
        TwoSpan span;
        Placement above[3], own[3]; // parents of the three joints, and they themselves, keyed
        Quat local[3];
        Vec2 middle, offset;
        double bend = 0;
    };
    double place(int foot, const Vec3& start, const Vec3& end, StepMeasures& measures);
    void measure_ankle(const Leg& leg, const Quat& shank_turn, StepMeasures& m) const;

    const Figure& figure_;
    const BodyPlan& plan_;
    const PoseRoom& room_;
    Key& s_;
    Leg leg_[2];
    Vec3 hips_translation_;
    Quat above_hips_;
    Contact contact_[2];
    bool serves_ = false;
};

} // namespace aplomb
