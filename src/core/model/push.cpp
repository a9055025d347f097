// SPDX-License-Identifier: MIT
#include "model/push.h"

#include <algorithm>

namespace aplomb {

Push::Push(const Model& model, const ModelState& state, Wrench* wrench)
    : model_(model), r_(model.reduction()), state_(state), wrench_(wrench) {}

void Push::begin(double* out) {
    out_ = out;
    std::fill(out, out + r_.variable_count, 0.0);
    balance_point_ = {};
    top_ = -1, width_ = 0;
}

void Push::variable(int i, double weight) {
    out_[i] += weight;
    width_ = std::max(width_, i + 1);
}

void Push::balance_point(const Vec2& weight) {
    balance_point_ = balance_point_ + weight;
    width_ = r_.variable_count;
}

void Push::first_moment(const Vec3& row) {
    moment(row);
    width_ = r_.variable_count;
}

void Push::place(int link, const Vec3& at_point, const Vec3& force) {
    wrench_[link].force += force;
    turn(link, cross(at_point, force));
}

void Push::turn(int link, const Vec3& torque) {
    wrench_[link].torque += torque;
    top_ = std::max(top_, link);
    width_ = std::max(width_, model_.width_of(link));
}

void Push::distance(int limb, double weight) {
    const TwoSpanState& span = state_.limb[limb].span;
    place(r_.limb[limb].link, span.start, span.line * -weight);
}

void Push::start_turn(int limb, const Vec3& torque) {
    const TwoSpanState& span = state_.limb[limb].span;
    place(r_.limb[limb].link, span.start, force_of_torques(span, torque, {}));
    turn(r_.limb[limb].link, -torque);
    if (r_.limb[limb].swivel >= 0) variable(r_.limb[limb].swivel, dot(span.line, torque));
}

void Push::end_turn(int limb, const Vec3& torque) {
    const TwoSpanState& span = state_.limb[limb].span;
    place(r_.limb[limb].link, span.start, -force_of_torques(span, {}, torque));
    if (r_.limb[limb].swivel >= 0) variable(r_.limb[limb].swivel, -dot(span.line, torque));
}

int Push::finish() {
    const bool moved = balance_point_.fore != 0 || balance_point_.left != 0;
    if (moved && !fore_) {
        const Pressing& pressing = model_.situation().pressing;
        moment(pressing.moment.pushed(balance_point_));
        for (int k = 0; k < pressing.pull_count; ++k)
            pulled_point(r_.pulled[k], pressing.pull[k].pushed(balance_point_));
    }
    if (top_ >= 0) sweep();
    if (moved && fore_) {
        for (int i = 0; i < r_.variable_count; ++i)
            out_[i] += balance_point_.fore * fore_[i] + balance_point_.left * left_[i];
    }
    return width_;
}

void Push::find_balance_point(double* fore, double* left) {
    begin(fore);
    balance_point({1, 0});
    finish();
    begin(left);
    balance_point({0, 1});
    finish();
    fore_ = fore, left_ = left;
}

/// row . d(first moment) of everything that moves.
void Push::moment(const Vec3& row) {
    top_ = r_.link_count - 1;
    for (int i = 0; i < r_.link_count; ++i) {
        const double mass = r_.link[i].lump.mass;
        wrench_[i].force += row * mass;
        wrench_[i].torque += cross(state_.link[i].pivot * mass + state_.link[i].moment, row);
    }
    for (int i = 0; i < r_.arm_count; ++i) {
        const ArmState& arm = state_.arm[i];
        place(r_.arm[i].link, arm.start, row * r_.arm[i].lump.mass);
        turn(r_.arm[i].link, transposed_times(arm.follow, cross(arm.moment, row)));
    }
    for (int i = 0; i < r_.limb_count; ++i) {
        const FixedLimb& limb = r_.limb[i];
        const LimbState& l = state_.limb[i];
        limb_moment(i, row, limb.upper.mass, l.upper_moment, limb.lower.mass, l.lower_moment, limb.end.mass);
    }
}

/// row . d(first moment) of the three lumps of a limb; `upper` and `lower` are moments about start and middle.
void Push::limb_moment(int limb, const Vec3& row, double upper_mass, const Vec3& upper, double lower_mass,
                       const Vec3& lower, double end_mass) {
    const TwoSpanState& span = state_.limb[limb].span;
    const Vec3 upper_torque = cross(upper + (span.middle - span.start) * lower_mass, row),
               lower_torque = cross(lower, row);
    Vec3 force = row * (upper_mass + lower_mass);
    force += force_of_torques(span, upper_torque, lower_torque);
    if (r_.limb[limb].span.gives_way) force += force_of_end_force(span, row * end_mass);
    place(r_.limb[limb].link, span.start, force);
    if (r_.limb[limb].swivel >= 0)
        variable(r_.limb[limb].swivel, dot(span.line, upper_torque + lower_torque));
}

void Push::pulled_point(const PulledPoint& pull, const Vec3& row) {
    const Vec3 at = model_.place_pull(state_, pull);
    if (pull.link >= 0) return place(pull.link, at, row);
    if (pull.arm >= 0) {
        const ArmState& arm = state_.arm[pull.arm];
        place(r_.arm[pull.arm].link, arm.start, row);
        turn(r_.arm[pull.arm].link, transposed_times(arm.follow, cross(rotate(arm.turn, pull.lever), row)));
    } else if (pull.limb >= 0) {
        const TwoSpanState& span = state_.limb[pull.limb].span;
        const Vec3 lever = at - (pull.span == 0 ? span.start : span.middle);
        const Vec3 none;
        limb_moment(pull.limb, row, pull.span == 0, pull.span == 0 ? lever : none, pull.span == 1,
                    pull.span == 1 ? lever : none, pull.span == 2);
    }
}

/// Links stand in the order of a tree, parents first.
void Push::sweep() {
    for (int i = top_; i >= 0; --i) {
        const LinkState& link = state_.link[i];
        const Wrench w = wrench_[i];
        wrench_[i] = {};
        const Vec3 g = transposed_times(link.axes, w.torque - cross(link.pivot, w.force));
        double* own = out_ + (i == 0 ? Reduction::hips_turn : r_.block_variable(r_.link[i].block));
        own[0] += g.x, own[1] += g.y, own[2] += g.z;
        if (i == 0) {
            const Ground& ground = model_.situation().ground;
            out_[0] += dot(ground.fore, w.force), out_[1] += dot(ground.left, w.force);
            out_[2] += dot(ground.normal, w.force);
            break;
        }
        Wrench& parent = wrench_[r_.link[i].parent];
        parent.force += w.force;
        parent.torque += w.torque;
    }
}

} // namespace aplomb
