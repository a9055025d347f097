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
    place_followers(state);
    place_limbs(state, false);
    keep_clear(state);
    if (r_.has_level) {
        place_level(state);
        place_limbs(state, true);
    }
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
}

void Model::place_followers(ModelState& state) const {
    for (int i = 0; i < r_.follower_count; ++i) {
        const Follower& follower = r_.follower[i];
        const LinkState& link = state.link[follower.link];
        FollowerState& f = state.follower[i];
        const Quat kept =
            follower.keep == 1 ? link.turn : exp_rotation(turn_of(state, follower.link) * follower.keep);
        f.turn = kept * follower.offer;
        if (follower.clear.given) {
            f.clear = exp_rotation(follower.clear.ahead * follower.clear.angle);
            f.turn = f.clear * f.turn;
        }
        f.start = follower.parent < 0 ? link.pivot + rotate(link.turn, follower.lever)
                                      : state.follower[follower.parent].start +
                                            rotate(state.follower[follower.parent].turn, follower.lever);
        f.moment = rotate(f.turn, follower.lump.moment);
    }
}

/// Arms that hang keep off the legs, which are placed.
void Model::keep_clear(ModelState& state) const {
    for (int i = 0; i < r_.follower_count; ++i) {
        const Clearance& c = r_.follower[i].clear;
        if (c.side == 0) continue;
        FollowerState& f = state.follower[i];
        const Quat turn = c.given ? conjugate(f.clear) * f.turn : f.turn;
        const Vec3 apart = f.start + rotate(turn, c.line) - place(state, c.leg);
        const double gap = c.side * (dot(s_.ground.left, apart) + c.hang);
        const double t = (c.wanted - gap) / c.length;
        const double tangent = smooth_max(t, 0, clearance_width) - c.at_key;
        const double angle = c.side * arctan2(tangent, 1);
        if (c.given) {
            f.asked = angle;
            continue;
        }
        f.clear = exp_rotation(c.ahead * angle);
        f.clear_rate =
            -c.side * smooth_max_slope(t, 0, clearance_width) / ((1 + tangent * tangent) * c.length);
        f.turn = f.clear * f.turn;
        f.moment = rotate(f.clear, f.moment);
    }
}

Vec3 Model::turn_of(const ModelState& state, int link) const {
    return link == r_.chest_link ? state.chest_turn : log_rotation(state.link[link].turn);
}

Vec3 Model::start_of(const ModelState& state, const FixedLimb& limb) const {
    if (limb.follower < 0)
        return state.link[limb.link].pivot + rotate(state.link[limb.link].turn, limb.lever);
    const FollowerState& girdle = state.follower[limb.follower];
    return girdle.start + rotate(girdle.turn, limb.lever);
}

Vec3 Model::end_of(const ModelState& state, const FixedLimb& limb, const Vec3& start) const {
    if (limb.holds_load) return state.level.place + rotate(state.level.turn, limb.grip);
    if (limb.with_chest > 0)
        return limb.span.end + (with_chest(state, limb) - limb.span.end) * limb.with_chest;
    return limb.ride == 0 ? limb.span.end : limb.span.end + (start - limb.span.start) * limb.ride;
}

/// Where a held end would be, were it rigid with the chest.
Vec3 Model::with_chest(const ModelState& state, const FixedLimb& limb) const {
    const LinkState& chest = state.link[r_.chest_link];
    return chest.pivot + rotate(chest.turn, limb.chest_lever);
}

/// How an end that is not bearing would turn, if its joints let it.
Quat Model::end_turn(const ModelState& state, const FixedLimb& limb) const {
    if (limb.holds_load) return state.level.turn;
    return limb.with_chest > 0 ? exp_rotation(state.chest_turn * limb.with_chest) : Quat{};
}

/// Arms that hold the level load come after it, all else before.
void Model::place_limbs(ModelState& state, bool that_hold) const {
    for (int i = 0; i < r_.limb_count; ++i) {
        const FixedLimb& limb = r_.limb[i];
        if (limb.holds_load != that_hold) continue;
        LimbState& l = state.limb[i];
        const Vec3 start = start_of(state, limb);
        place_two_span(limb.span, start, end_of(state, limb, start), l.span);
        if (limb.swivel >= 0 && state.x[limb.swivel] != 0)
            swivel_two_span(limb.span, state.x[limb.swivel], l.span);
        if (limb.elbow.outwards != 0) swivel_elbow(state, limb.elbow, limb.span, l);
        l.upper_moment = l.span.upper_frame * limb.upper_moment;
        l.lower_moment = l.span.lower_frame * limb.lower_moment;
    }
}

void Model::swivel_elbow(const ModelState& state, const Elbow& elbow, const TwoSpan& span,
                         LimbState& limb) const {
    limb.bare = limb.span;
    limb.bare_upper = limb.span.upper_frame.column(0);
    limb.ahead = rotate(state.link[r_.chest_link].turn, elbow.ahead);
    const Swivel swivel = swivel_of(elbow, -dot(limb.bare_upper, limb.ahead));
    limb.swivel_slope = swivel.slope;
    swivel_two_span(span, swivel.angle, limb.span);
}

Vec3 Model::place(const ModelState& state, const BodyPoint& point) const {
    if (point.limb >= 0) {
        const TwoSpanState& span = state.limb[point.limb].span;
        return point.span == 0 ? span.start + (span.middle - span.start) * point.part
                               : span.middle + (span.end - span.middle) * point.part;
    }
    Vec3 end[2];
    for (int k = 0; k < 2; ++k) {
        const LinkState& link = state.link[point.link[k]];
        end[k] = link.pivot + rotate(link.turn, point.lever[k]);
    }
    return end[0] + (end[1] - end[0]) * point.part;
}

void Model::place_level(ModelState& state) const {
    const Ground& g = s_.ground;
    const LevelLoad& level = r_.level;
    LevelState& l = state.level;
    const Vec3 shift = place(state, level.axis) - level.axis.keyed;
    double fore[max_obstacles + 1];
    for (int k = 0; k < level.obstacle_count; ++k)
        fore[k] = dot(g.fore, place(state, level.obstacle[k]) - level.obstacle[k].keyed) - level.gap[k];
    fore[level.obstacle_count] = dot(g.fore, shift) - (level.pull >= 0 ? state.x[level.pull] : 0);
    const double ahead =
        nested_max(fore, 1 + level.obstacle_count, level.smoothing, l.follow) - level.fore_at_key;
    l.place = level.place + g.fore * (ahead * level.ride) + g.left * (dot(g.left, shift) * level.ride) +
              g.normal * ((dot(g.normal, shift) - level.sink) * level.ride);
    l.turn = exp_rotation(g.normal * (dot(g.normal, state.chest_turn) * level.ride));
    l.moment = rotate(l.turn, level.lump.moment);
}

Vec3 Model::find_first_moment(const ModelState& state) const {
    Vec3 m = r_.fixed.moment;
    for (int i = 0; i < r_.link_count; ++i)
        m += state.link[i].pivot * r_.link[i].lump.mass + state.link[i].moment;
    for (int i = 0; i < r_.follower_count; ++i)
        m += state.follower[i].start * r_.follower[i].lump.mass + state.follower[i].moment;
    for (int i = 0; i < r_.limb_count; ++i) {
        const FixedLimb& limb = r_.limb[i];
        const LimbState& l = state.limb[i];
        m += l.span.start * limb.upper.mass + l.upper_moment;
        m += l.span.middle * limb.lower.mass + l.lower_moment;
        m += l.span.end * limb.end.mass + limb.end.moment;
    }
    if (r_.has_level) m += state.level.place * r_.level.lump.mass + state.level.moment;
    return m;
}

Vec3 Model::place_pull(const ModelState& state, const PulledPoint& pull) const {
    if (pull.link >= 0) return state.link[pull.link].pivot + rotate(state.link[pull.link].turn, pull.lever);
    if (pull.follower >= 0)
        return state.follower[pull.follower].start + rotate(state.follower[pull.follower].turn, pull.lever);
    if (pull.limb < 0) return pull.lever;
    const TwoSpan& keyed = r_.limb[pull.limb].span;
    const TwoSpanState& span = state.limb[pull.limb].span;
    if (pull.span == 2)
        return span.end + (r_.limb[pull.limb].holds_load ? rotate(state.level.turn, pull.lever) : pull.lever);
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
    for (int i = 0; i < r_.follower_count; ++i) {
        const Follower& follower = r_.follower[i];
        const Vec3 turn = turn_of(state, follower.link);
        state.follower[i].follow =
            follower.keep == 1 ? Mat3::identity()
                               : exp_jacobian(turn * follower.keep) * log_jacobian(turn) * follower.keep;
    }
}

} // namespace aplomb
