// SPDX-License-Identifier: MIT
#include "suggest/stepped_pose.h"

#include <algorithm>
#include <cmath>
#include <initializer_list>

#include "figure/bend.h"

namespace aplomb {
namespace {

constexpr double straightest = 5 * degree; // of a knee that a step stretches, unless it is keyed straighter

} // namespace

SteppedPose::SteppedPose(const Figure& figure, const BodyPlan& plan, const PoseRoom& room, Key& key)
    : figure_(figure), plan_(plan), room_(room), s_(key) {
    if (s_.stance.contact_count != 2 || figure.apart_count > 0) return;
    for (int i = 0; i < figure.limb_count; ++i) {
        const bool bears = s_.stance.contact[0].limb == i || s_.stance.contact[1].limb == i;
        if (s_.stance.hold[i] != APLOMB_FREE && !bears) return;
    }
    for (int foot = 0; foot < 2; ++foot) {
        const Contact& contact = s_.stance.contact[foot];
        if (contact.limb < 0 || contact.bearing < 1) return;
        Leg& leg = leg_[foot];
        leg.limb = &figure.limbs[contact.limb];
        if (leg.limb->kind != APLOMB_LEG || leg.limb->sole.point_count == 0) return;
        const int32_t joint[3] = {leg.limb->upper, leg.limb->lower, leg.limb->end};
        const Placement* world = s_.body.world;
        for (int k = 0; k < 3; ++k) {
            const int32_t parent = figure.joints[joint[k]].parent;
            if (parent < 0) return;
            leg.above[k] = world[parent], leg.own[k] = world[joint[k]];
            leg.local[k] = room.rotations[joint[k]];
        }
        const Vec3 hinge = rotate(from_neutral(figure, s_, leg.limb->upper), leg.limb->hinge);
        leg.span = make_two_span(leg.own[0].position, leg.own[1].position, leg.own[2].position, hinge,
                                 leg.limb->least_bend, leg.limb->most_bend);
        leg.bend = bend_between(leg.own[0].position, leg.own[1].position, leg.own[2].position);
        leg.middle = (s_.ground.project(contact.home[0]) + s_.ground.project(contact.home[1])) * 0.5;
        const Vec3 neutral =
            figure.joints[joint[2]].neutral_position - figure.joints[joint[0]].neutral_position;
        const Vec3 hangs = leg.own[2].position - leg.own[0].position;
        leg.offset = {dot(hangs, s_.ground.fore) - neutral.z, dot(hangs, s_.ground.left) - neutral.x};
        contact_[foot] = contact;
    }
    const int32_t above = figure.joints[figure.hips].parent;
    above_hips_ = above >= 0 ? s_.body.world[above].rotation : Quat{};
    hips_translation_ = room.translations[figure.hips];
    serves_ = true;
}

double SteppedPose::hip_width() const {
    const Vec3 across = leg_[1].own[0].position - leg_[0].own[0].position;
    return norm(reject(across, s_.ground.normal));
}

/// Dorsal, plantar and sideways turn of the foot, which keeps its attitude, against the shank.
void SteppedPose::measure_ankle(const Leg& leg, const Quat& shank_turn, StepMeasures& m) const {
    const auto since_neutral = [&](int32_t joint, const Quat& world) {
        return world * conjugate(figure_.joints[joint].neutral);
    };
    const Quat shank = since_neutral(leg.limb->lower, shank_turn * leg.own[1].rotation);
    const Quat foot = since_neutral(leg.limb->end, leg.own[2].rotation);
    const Vec3 turn = log_rotation(normalized(conjugate(shank) * foot));
    m.ankle_up = -turn.x, m.ankle_down = turn.x, m.ankle_side = std::fabs(turn.z);
}

StepMeasures SteppedPose::keyed(int foot) const {
    StepMeasures m;
    for (int k = 0; k < 2; ++k)
        m.knee_bend[k] = leg_[k].bend;
    measure_ankle(leg_[foot], Quat{}, m);
    return m;
}

/// Writes the leg's turns for these ends. Returns its knee's bend.
double SteppedPose::place(int foot, const Vec3& start, const Vec3& end, StepMeasures& measures) {
    const Leg& leg = leg_[foot];
    TwoSpan span = leg.span;
    span.end = end;
    TwoSpanState state;
    place_two_span(span, start, end, state);
    const Quat upper = to_quat(upper_turn(span, state)), lower = to_quat(lower_turn(span, state));
    const Quat turn[3] = {upper, lower, Quat{}}, above[3] = {Quat{}, upper, lower};
    const int32_t joint[3] = {leg.limb->upper, leg.limb->lower, leg.limb->end};
    for (int k = 0; k < 3; ++k) {
        Quat local = normalized(conjugate(above[k] * leg.above[k].rotation) * turn[k] * leg.own[k].rotation);
        if (dot(local, leg.local[k]) < 0) local = {-local.x, -local.y, -local.z, -local.w};
        room_.rotations[joint[k]] = local;
    }
    measure_ankle(leg, lower, measures);
    return bend_between(start, state.middle, state.end);
}

StepMeasures SteppedPose::step(int foot, const Vec2& way) {
    StepMeasures m, other;
    const Leg &moved = leg_[foot], &stays = leg_[1 - foot];
    const Ground& ground = s_.ground;
    const Vec3 shift = ground.fore * way.fore + ground.left * way.left;
    const Vec3 end = moved.own[2].position + shift, start = moved.own[0].position;
    const double height = dot(ground.normal, start - end);
    const double level = norm(reject(start - end, ground.normal));
    const double longest =
        std::min(moved.span.most,
                 std::max(norm(moved.own[2].position - start),
                          distance_of_bend(moved.span.upper_length, moved.span.lower_length, straightest)));
    if (!(level < longest) || height <= 0) {
        m.reaches = false;
        return m;
    }
    m.drop = std::max(0.0, height - std::sqrt(longest * longest - level * level));
    const Vec3 sunk = ground.normal * -m.drop;
    room_.translations[figure_.hips] = hips_translation_ + rotate(conjugate(above_hips_), sunk);
    m.knee_bend[1 - foot] = place(1 - foot, stays.own[0].position + sunk, stays.own[2].position, other);
    m.knee_bend[foot] = place(foot, start + sunk, end, m);
    const double folded = norm(stays.own[2].position - stays.own[0].position - sunk);
    m.reaches = folded <= std::max(stays.span.most, norm(stays.own[2].position - stays.own[0].position));

    s_.stance.contact[1 - foot] = contact_[1 - foot];
    Contact& contact = s_.stance.contact[foot];
    contact = contact_[foot];
    for (int k = 0; k < contact.point_count; ++k)
        contact.point[k] = Vec3(contact.point[k]) + shift;
    contact.back += shift, contact.tip += shift;
    contact.home[0] += shift, contact.home[1] += shift;
    if (repose(figure_, plan_, room_, s_)) m.reaches = false;
    return m;
}

void SteppedPose::take_back() {
    room_.translations[figure_.hips] = hips_translation_;
    for (int foot = 0; foot < 2; ++foot) {
        const Limb& limb = *leg_[foot].limb;
        room_.rotations[limb.upper] = leg_[foot].local[0];
        room_.rotations[limb.lower] = leg_[foot].local[1];
        room_.rotations[limb.end] = leg_[foot].local[2];
        s_.stance.contact[foot] = contact_[foot];
    }
    repose(figure_, plan_, room_, s_);
}

void SteppedPose::list(Changed& changed) const {
    changed.count = changed.moved_count = 0;
    changed.moved[changed.moved_count++] = figure_.hips;
    for (const Leg& leg : leg_) {
        for (const int32_t joint : {leg.limb->upper, leg.limb->lower, leg.limb->end})
            changed.joint[changed.count++] = joint;
    }
}

} // namespace aplomb
