// SPDX-License-Identifier: MIT
#include "model/model.h"

#include <algorithm>

namespace aplomb {
namespace {

Vec3 at(const double* x) {
    return {x[0], x[1], x[2]};
}

Mat3 scale_columns(const Mat3& m, const Vec3& s) {
    Mat3 out = m;
    for (Vec3& row : out.row)
        row = {row.x * s.x, row.y * s.y, row.z * s.z};
    return out;
}

/// A link's own rotation vector from the neutral.
Vec3 own_rotation(const Link& link, const double* x) {
    return {link.keyed.x + link.weight.x * x[0], link.keyed.y + link.weight.y * x[1],
            link.keyed.z + link.weight.z * x[2]};
}

} // namespace

void Model::place(ModelState& state) const {
    place_links(state);
    place_hangers(state);
    state.balance_point = find_balance_point(state);
}

void Model::place_links(ModelState& state) const {
    const Ground& g = s_.ground;
    const double* x = state.x;
    const Link& hips = r_.link[0];
    LinkState& base = state.link[0];
    base.turn = exp_rotation(rotate(hips.before, at(x + Reduction::hips_turn)));
    base.pivot = hips.pivot + g.fore * x[0] + g.left * x[1] + g.normal * x[2];
    base.moment = rotate(base.turn, hips.lump.moment);
    for (int i = 1; i < r_.link_count; ++i) {
        const Link& link = r_.link[i];
        const LinkState& parent = state.link[link.parent];
        LinkState& l = state.link[i];
        const Quat own = exp_rotation(own_rotation(link, x + r_.block_variable(link.block)));
        l.turn = parent.turn * link.before * own * link.after;
        l.pivot = parent.pivot + rotate(parent.turn, link.lever);
        l.moment = rotate(l.turn, link.lump.moment);
    }
    state.chest_turn = log_rotation(state.link[r_.chest_link].turn);
    if (r_.head_link >= 0) state.head_turn = log_rotation(state.link[r_.head_link].turn);
}

void Model::place_hangers(ModelState& state) const {
    for (int i = 0; i < r_.arm_count; ++i) {
        const ArmLump& arm = r_.arm[i];
        const LinkState& link = state.link[arm.link];
        ArmState& a = state.arm[i];
        a.turn = exp_rotation(log_rotation(link.turn) * arm.keep);
        a.start = link.pivot + rotate(link.turn, arm.lever);
        a.moment = rotate(a.turn, arm.lump.moment);
    }
    for (int i = 0; i < r_.limb_count; ++i) {
        const FixedLimb& limb = r_.limb[i];
        const LinkState& link = state.link[limb.link];
        LimbState& l = state.limb[i];
        const double swivel = limb.swivel >= 0 ? state.x[limb.swivel] : 0.0;
        place_two_span(limb.span, link.pivot + rotate(link.turn, limb.lever), swivel, l.span);
        l.upper_moment = l.span.upper_frame * limb.upper_moment;
        l.lower_moment = l.span.lower_frame * limb.lower_moment;
    }
}

Vec2 Model::find_balance_point(const ModelState& state) const {
    Vec3 m = r_.fixed.moment;
    for (int i = 0; i < r_.link_count; ++i)
        m += state.link[i].pivot * r_.link[i].lump.mass + state.link[i].moment;
    for (int i = 0; i < r_.arm_count; ++i)
        m += state.arm[i].start * r_.arm[i].lump.mass + state.arm[i].moment;
    for (int i = 0; i < r_.limb_count; ++i) {
        const FixedLimb& limb = r_.limb[i];
        const LimbState& l = state.limb[i];
        m += l.span.start * limb.upper.mass + l.upper_moment;
        m += l.span.middle * limb.lower.mass + l.lower_moment;
        m += l.span.end * limb.end.mass + limb.end.moment;
    }
    Vec2 p = r_.given + Vec2{dot(s_.pressing.fore_row, m), dot(s_.pressing.left_row, m)};
    for (int k = 0; k < s_.pull_count; ++k) {
        const Vec3 d = place_pull(state, r_.pulled[k]);
        p = p + Vec2{dot(r_.pulled[k].fore_row, d), dot(r_.pulled[k].left_row, d)};
    }
    return p;
}

Vec3 Model::place_pull(const ModelState& state, const PulledPoint& pull) const {
    if (pull.link >= 0) return state.link[pull.link].pivot + rotate(state.link[pull.link].turn, pull.lever);
    if (pull.arm >= 0) return state.arm[pull.arm].start + rotate(state.arm[pull.arm].turn, pull.lever);
    if (pull.limb < 0) return pull.lever;
    const TwoSpan& keyed = r_.limb[pull.limb].span;
    const TwoSpanState& span = state.limb[pull.limb].span;
    if (pull.span == 2) return span.end + pull.lever;
    return pull.span == 0 ? span.start + upper_turn(keyed, span) * pull.lever
                          : span.middle + lower_turn(keyed, span) * pull.lever;
}

void Model::differentiate(ModelState& state) const {
    const double* x = state.x;
    const Link& hips = r_.link[0];
    const Mat3 own_axes = to_matrix(hips.before);
    state.link[0].axes = exp_jacobian(rotate(hips.before, at(x + Reduction::hips_turn))) * own_axes;
    for (int i = 1; i < r_.link_count; ++i) {
        const Link& link = r_.link[i];
        const Vec3 own = own_rotation(link, x + r_.block_variable(link.block));
        const Mat3 outer = to_matrix(state.link[link.parent].turn * link.before);
        state.link[i].axes = scale_columns(outer * exp_jacobian(own), link.weight);
    }
    for (int i = 0; i < r_.arm_count; ++i) {
        const ArmLump& arm = r_.arm[i];
        const Vec3 turn = log_rotation(state.link[arm.link].turn);
        state.arm[i].follow = exp_jacobian(turn * arm.keep) * log_jacobian(turn) * arm.keep;
    }
}

// ---- Gradients: forces and torques are laid on the links, then swept down to the hips
// ------------------------

void Model::clear() const {
    std::fill(wrench_, wrench_ + r_.link_count, Wrench{});
}

void Model::push(int link, const Vec3& force, const Vec3& at_point) const {
    wrench_[link].force += force;
    wrench_[link].torque += cross(at_point, force);
}

void Model::sweep(const ModelState& state, double* out) const {
    for (int i = r_.link_count - 1; i >= 0; --i) {
        const LinkState& link = state.link[i];
        const Wrench& w = wrench_[i];
        const Vec3 torque = w.torque - cross(link.pivot, w.force);
        const Vec3 g = transposed_times(link.axes, torque);
        double* own = out + (i == 0 ? Reduction::hips_turn : r_.block_variable(r_.link[i].block));
        own[0] += g.x, own[1] += g.y, own[2] += g.z;
        if (i == 0) break;
        wrench_[r_.link[i].parent].force += w.force;
        wrench_[r_.link[i].parent].torque += w.torque;
    }
    const Vec3& force = wrench_[0].force;
    out[0] += dot(s_.ground.fore, force), out[1] += dot(s_.ground.left, force),
        out[2] += dot(s_.ground.normal, force);
}

/// row . d(first moment) of the three lumps of a limb; `upper` and `lower` are moments about start and
/// middle.
void Model::push_limb(const ModelState& state, int limb, const Vec3& row, double upper_mass,
                      const Vec3& upper, double lower_mass, const Vec3& lower, double end_mass,
                      double* out) const {
    const TwoSpanState& span = state.limb[limb].span;
    const Vec3 upper_torque = cross(upper + (span.middle - span.start) * lower_mass, row),
               lower_torque = cross(lower, row);
    Vec3 force = row * (upper_mass + lower_mass);
    force += force_of_torques(span, upper_torque, lower_torque);
    if (r_.limb[limb].span.gives_way) force += force_of_end_force(span, row * end_mass);
    push(r_.limb[limb].link, force, span.start);
    if (r_.limb[limb].swivel >= 0) out[r_.limb[limb].swivel] += dot(span.line, upper_torque + lower_torque);
}

void Model::push_pull(const ModelState& state, const PulledPoint& pull, const Vec3& row, double* out) const {
    if (pull.link >= 0) return push(pull.link, row, place_pull(state, pull));
    if (pull.arm >= 0) {
        const ArmState& arm = state.arm[pull.arm];
        push(r_.arm[pull.arm].link, row, arm.start);
        wrench_[r_.arm[pull.arm].link].torque +=
            transposed_times(arm.follow, cross(rotate(arm.turn, pull.lever), row));
    } else if (pull.limb >= 0) {
        const TwoSpanState& span = state.limb[pull.limb].span;
        const Vec3 lever = place_pull(state, pull) - (pull.span == 0 ? span.start : span.middle);
        const Vec3 none;
        push_limb(state, pull.limb, row, pull.span == 0, pull.span == 0 ? lever : none, pull.span == 1,
                  pull.span == 1 ? lever : none, pull.span == 2, out);
    }
}

/// row . d(first moment) of everything that moves.
void Model::push_row(const ModelState& state, const Vec3& row, double* out) const {
    for (int i = 0; i < r_.link_count; ++i) {
        const double mass = r_.link[i].lump.mass;
        wrench_[i].force += row * mass;
        wrench_[i].torque += cross(state.link[i].pivot * mass + state.link[i].moment, row);
    }
    for (int i = 0; i < r_.arm_count; ++i) {
        push(r_.arm[i].link, row * r_.arm[i].lump.mass, state.arm[i].start);
        wrench_[r_.arm[i].link].torque +=
            transposed_times(state.arm[i].follow, cross(state.arm[i].moment, row));
    }
    for (int i = 0; i < r_.limb_count; ++i) {
        const FixedLimb& limb = r_.limb[i];
        const LimbState& l = state.limb[i];
        push_limb(state, i, row, limb.upper.mass, l.upper_moment, limb.lower.mass, l.lower_moment,
                  limb.end.mass, out);
    }
}

void Model::balance_point_gradient(const ModelState& state, double* fore, double* left) const {
    double* out[2] = {fore, left};
    for (int k = 0; k < 2; ++k) {
        std::fill(out[k], out[k] + r_.variable_count, 0.0);
        clear();
        push_row(state, k == 0 ? s_.pressing.fore_row : s_.pressing.left_row, out[k]);
        for (int i = 0; i < s_.pull_count; ++i)
            push_pull(state, r_.pulled[i], k == 0 ? r_.pulled[i].fore_row : r_.pulled[i].left_row, out[k]);
        sweep(state, out[k]);
    }
}

void Model::sum_gradient(const ModelState& state, double fore, double left, const double* limb,
                         const Vec3& head_torque, double* out) const {
    std::fill(out, out + r_.variable_count, 0.0);
    clear();
    push_row(state, s_.pressing.fore_row * fore + s_.pressing.left_row * left, out);
    for (int i = 0; i < s_.pull_count; ++i)
        push_pull(state, r_.pulled[i], r_.pulled[i].fore_row * fore + r_.pulled[i].left_row * left, out);
    for (int i = 0; i < r_.limb_count; ++i)
        push(r_.limb[i].link, state.limb[i].span.line * -limb[i], state.limb[i].span.start);
    if (r_.head_link >= 0) wrench_[r_.head_link].torque += head_torque;
    sweep(state, out);
}

/// The gradient of one force and torque on one link: only the links below it count.
void Model::walk_down(const ModelState& state, int link, const Vec3& force, const Vec3& at_point,
                      const Vec3& torque, double* out) const {
    for (int i = link;; i = r_.link[i].parent) {
        const Vec3 g =
            transposed_times(state.link[i].axes, torque + cross(at_point - state.link[i].pivot, force));
        double* own = out + (i == 0 ? Reduction::hips_turn : r_.block_variable(r_.link[i].block));
        own[0] += g.x, own[1] += g.y, own[2] += g.z;
        if (i == 0) break;
    }
    out[0] += dot(s_.ground.fore, force), out[1] += dot(s_.ground.left, force),
        out[2] += dot(s_.ground.normal, force);
}

void Model::distance_gradient(const ModelState& state, int limb, double* out) const {
    std::fill(out, out + r_.variable_count, 0.0);
    const TwoSpanState& span = state.limb[limb].span;
    walk_down(state, r_.limb[limb].link, -span.line, span.start, Vec3{}, out);
}

void Model::start_turn_gradient(const ModelState& state, int limb, const Vec3& torque, double* out) const {
    std::fill(out, out + r_.variable_count, 0.0);
    const TwoSpanState& span = state.limb[limb].span;
    walk_down(state, r_.limb[limb].link, force_of_torques(span, torque, {}), span.start, -torque, out);
    if (r_.limb[limb].swivel >= 0) out[r_.limb[limb].swivel] += dot(span.line, torque);
}

void Model::end_turn_gradient(const ModelState& state, int limb, const Vec3& torque, double* out) const {
    std::fill(out, out + r_.variable_count, 0.0);
    const TwoSpanState& span = state.limb[limb].span;
    walk_down(state, r_.limb[limb].link, -force_of_torques(span, {}, torque), span.start, Vec3{}, out);
    if (r_.limb[limb].swivel >= 0) out[r_.limb[limb].swivel] -= dot(span.line, torque);
}

void Model::link_turn_gradient(const ModelState& state, int link, const Vec3& torque, double* out) const {
    std::fill(out, out + r_.variable_count, 0.0);
    for (int i = link;; i = r_.link[i].parent) {
        const Vec3 g = transposed_times(state.link[i].axes, torque);
        double* own = out + (i == 0 ? Reduction::hips_turn : r_.block_variable(r_.link[i].block));
        own[0] += g.x, own[1] += g.y, own[2] += g.z;
        if (i == 0) break;
    }
}

} // namespace aplomb
