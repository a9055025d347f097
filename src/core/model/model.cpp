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
    state.first_moment = find_first_moment(state);
    state.balance_point =
        s_.pressing.balance_point(state.first_moment, [&](int k) { return place_pull(state, r_.pulled[k]); });
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

Vec3 Model::find_first_moment(const ModelState& state) const {
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
    return m;
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
    if (r_.head_link >= 0) state.head_rate = log_jacobian(state.head_turn);
    for (int i = 0; i < r_.arm_count; ++i) {
        const ArmLump& arm = r_.arm[i];
        const Vec3 turn = log_rotation(state.link[arm.link].turn);
        state.arm[i].follow = exp_jacobian(turn * arm.keep) * log_jacobian(turn) * arm.keep;
    }
}

} // namespace aplomb
