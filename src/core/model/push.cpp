// SPDX-License-Identifier: MIT
#include "model/push.h"

#include <algorithm>

namespace aplomb {

Push::Push(const Model& model, const ModelState& state, Wrench* wrench)
    : model_(model), r_(model.reduction()), state_(state), wrench_(wrench) {}

void Push::begin(double* out) {
    if (r_.has_level && ahead_width_ == 0) find_level_ahead();
    start(out);
}

void Push::start(double* out) {
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

void Push::distance(int i, double weight) {
    limb(i, {}, {}, {}, state_.limb[i].span.line * -weight);
}

void Push::start_turn(int i, const Vec3& torque) {
    limb(i, {}, torque, {}, {});
    base_turn(i, -torque);
}

void Push::lower_turn(int i, const Vec3& torque) {
    limb(i, {}, {}, torque, {});
}

void Push::end_turn(int i, const Vec3& torque) {
    limb(i, {}, {}, -torque, {});
}

/// Of what a limb starts from.
void Push::base_turn(int i, const Vec3& torque) {
    const FixedLimb& limb = r_.limb[i];
    if (limb.follower < 0) return turn(limb.link, torque);
    follower(limb.follower, {}, torque);
}

/// On a fixed limb: a force that goes with its start, torques on its spans, and a force on the start and against it on the
/// end.
void Push::limb(int i, const Vec3& with_start, const Vec3& upper, const Vec3& lower, Vec3 apart) {
    const FixedLimb& limb = r_.limb[i];
    const LimbState& l = state_.limb[i];
    apart += force_of_torques(l.span, upper, lower);
    const double about_line = dot(l.span.line, upper + lower);
    if (limb.swivel >= 0) variable(limb.swivel, about_line);
    if (limb.elbow.outwards != 0) { // it swivels by the sine of -upper arm . ahead
        const Vec3 torque = cross(l.bare_upper, l.ahead) * (about_line * l.swivel_slope);
        apart += force_of_torques(l.bare, -torque, {});
        turn(r_.chest_link, torque);
    }
    const Vec3 force = with_start + apart * (1.0 - limb.ride);
    if (limb.follower < 0)
        place(limb.link, l.span.start, force);
    else
        follower(limb.follower, force, cross(l.span.start - state_.follower[limb.follower].start, force));
    if (limb.holds_load) level_point(l.span.end, -apart);
    if (limb.with_chest > 0) place(r_.chest_link, model_.with_chest(state_, limb), apart * -limb.with_chest);
}

/// A force at a point of the level load. It depends on many points of the body, so all are laid on them as one.
void Push::level_point(const Vec3& at, const Vec3& force) {
    level_.force += force;
    level_turn(cross(at - state_.level.place, force));
}

void Push::level_turn(const Vec3& torque) {
    level_.torque += torque;
    on_level_ = true;
}

/// The gradient of the level load's way ahead, which goes by many points of the body: every push on the load is put
/// together from it.
void Push::find_level_ahead() {
    const Vec3& fore = model_.key().ground.fore;
    const LevelLoad& level = r_.level;
    const double* follow = state_.level.follow;
    start(ahead_);
    for (int k = 0; k < level.obstacle_count; ++k) {
        if (follow[k] != 0) body_point(level.obstacle[k], fore * follow[k]);
    }
    const double by_axis = follow[level.obstacle_count];
    body_point(level.axis, fore * by_axis);
    if (level.pull >= 0) variable(level.pull, -by_axis);
    ahead_width_ = finish();
}

/// What was laid on the level load, on what it goes by but ahead. It turns with the chest's twist alone.
void Push::lay_level() {
    const Ground& g = model_.key().ground;
    const Vec3 force = level_.force * r_.level.ride;
    const double twist = dot(g.normal, level_.torque) * r_.level.ride;
    level_ = {};
    on_level_ = false;
    on_ahead_ = dot(g.fore, force);
    turn(r_.chest_link, transposed_times(log_jacobian(state_.chest_turn), g.normal * twist));
    body_point(r_.level.axis, force - g.fore * on_ahead_);
}

void Push::body_point(const BodyPoint& point, const Vec3& force) {
    if (point.limb >= 0) {
        const double near = 1.0 - point.part;
        if (point.span == 0) return limb_moment(point.limb, force, near, {}, point.part, {}, 0);
        return limb_moment(point.limb, force, 0, {}, near, {}, point.part);
    }
    for (int k = 0; k < 2; ++k) {
        const LinkState& link = state_.link[point.link[k]];
        place(point.link[k], link.pivot + rotate(link.turn, point.lever[k]),
              force * (k == 0 ? 1.0 - point.part : point.part));
    }
}

int Push::finish() {
    const bool moved = balance_point_.fore != 0 || balance_point_.left != 0;
    if (moved && !fore_) {
        const Pressing& pressing = model_.key().pressing;
        moment(pressing.moment.pushed(balance_point_));
        for (int k = 0; k < pressing.pull_count; ++k)
            pulled_point(r_.pulled[k], pressing.pull[k].pushed(balance_point_));
    }
    if (on_level_) lay_level();
    if (top_ >= 0) sweep();
    if (on_ahead_ != 0) {
        for (int i = 0; i < ahead_width_; ++i)
            out_[i] += on_ahead_ * ahead_[i];
        width_ = std::max(width_, ahead_width_);
        on_ahead_ = 0;
    }
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
    for (int i = 0; i < r_.follower_count; ++i)
        follower(i, row * r_.follower[i].lump.mass, cross(state_.follower[i].moment, row));
    for (int i = 0; i < r_.limb_count; ++i) {
        const FixedLimb& limb = r_.limb[i];
        const LimbState& l = state_.limb[i];
        limb_moment(i, row, limb.upper.mass, l.upper_moment, limb.lower.mass, l.lower_moment, limb.end.mass);
    }
    if (r_.has_level) {
        level_point(state_.level.place, row * r_.level.lump.mass);
        level_turn(cross(state_.level.moment, row));
    }
}

/// A force at a follower's start and a torque about it.
void Push::follower(int i, const Vec3& force, Vec3 torque) {
    const int link = r_.follower[i].link;
    if (r_.follower[i].clear.side != 0 && !r_.follower[i].clear.given) return hanging_arm(i, force, torque);
    for (;;) {
        const FollowerState& state = state_.follower[i];
        const Vec3 own = r_.follower[i].clear.given ? rotate(conjugate(state.clear), torque) : torque;
        turn(link, transposed_times(state.follow, own));
        const int parent = r_.follower[i].parent;
        if (parent < 0) return place(link, state_.follower[i].start, force);
        torque = cross(state_.follower[i].start - state_.follower[parent].start, force);
        i = parent;
    }
}

/// The same of an arm that keeps clear of a leg: what its outward turn weighs goes to the gap that it depends on.
void Push::hanging_arm(int i, Vec3 force, const Vec3& torque) {
    const Follower& f = r_.follower[i];
    const FollowerState& state = state_.follower[i];
    const Vec3& left = model_.key().ground.left;
    const Vec3 gap = left * (f.clear.side * state.clear_rate * dot(f.clear.ahead, torque));
    const Vec3 line = rotate(conjugate(state.clear), rotate(state.turn, f.clear.line));
    body_point(f.clear.leg, -gap);
    force += gap;
    const Vec3 own = rotate(conjugate(state.clear), torque) + cross(line, gap);
    turn(f.link, transposed_times(state.follow, own));
    if (f.parent < 0) return place(f.link, state.start, force);
    follower(f.parent, force, cross(state.start - state_.follower[f.parent].start, force));
}

/// row . d(first moment) of the three lumps of a limb; `upper` and `lower` are moments about start and middle.
void Push::limb_moment(int i, const Vec3& row, double upper_mass, const Vec3& upper, double lower_mass,
                       const Vec3& lower, double end_mass) {
    const FixedLimb& fixed = r_.limb[i];
    const TwoSpanState& span = state_.limb[i].span;
    Vec3 with_start = row * (upper_mass + lower_mass), apart;
    if (fixed.span.gives_way)
        with_start += row * end_mass, apart = force_of_end_force(span, row * end_mass);
    else if (fixed.holds_load && end_mass != 0)
        level_point(span.end, row * end_mass);
    limb(i, with_start, cross(upper + (span.middle - span.start) * lower_mass, row), cross(lower, row),
         apart);
}

void Push::pulled_point(const PulledPoint& pull, const Vec3& row) {
    const Vec3 at = model_.place_pull(state_, pull);
    if (pull.link >= 0) return place(pull.link, at, row);
    if (pull.follower >= 0) {
        follower(pull.follower, row, cross(at - state_.follower[pull.follower].start, row));
    } else if (pull.limb >= 0) {
        const TwoSpanState& span = state_.limb[pull.limb].span;
        const Vec3 lever = at - (pull.span == 0 ? span.start : span.middle);
        const Vec3 none;
        limb_moment(pull.limb, row, pull.span == 0, pull.span == 0 ? lever : none, pull.span == 1,
                    pull.span == 1 ? lever : none, pull.span == 2);
        if (pull.span == 2 && r_.limb[pull.limb].holds_load) level_turn(cross(at - span.end, row));
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
            const Ground& ground = model_.key().ground;
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
