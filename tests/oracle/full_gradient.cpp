// SPDX-License-Identifier: MIT
// The full problem's gradients backwards: what residuals and rows weigh becomes forces and torques on the
// pieces, which are swept down to the hips. Jets do the small maps from a turn or a place to a number.
#include "oracle/full_problem.h"

namespace full_space {
namespace {

/// J^T w, with J the turn in the outer frame that a change of r makes of exp(r).
Point exp_back(const Point& r, const Point& w) {
    const double q = dot(r, r);
    double a, b, c;
    if (q < 1e-3) {
        a = 1 - q / 6 * (1 - q / 20 * (1 - q / 42)), b = 0.5 - q / 24 * (1 - q / 30 * (1 - q / 56));
        c = 1 / 6. - q / 120 * (1 - q / 42 * (1 - q / 72));
    } else {
        const double angle = std::sqrt(q);
        a = std::sin(angle) / angle, b = (1 - std::cos(angle)) / q, c = (1 - a) / q;
    }
    return w * a - cross(r, w) * b + r * (c * dot(r, w));
}

/// J^-T w.
Point log_back(const Point& r, const Point& w) {
    const double q = dot(r, r), angle = std::sqrt(q);
    const double k = q < 1e-3 ? 1 / 12. + q / 720 * (1 + q / 42)
                              : 1 / q - (1 + std::cos(angle)) / (2 * angle * std::sin(angle));
    return w + cross(r, w) * 0.5 + cross(r, cross(r, w)) * k;
}

template<int n>
Vec<ceres::Jet<double, n>> varied(const Point& p, int from) {
    using Jet = ceres::Jet<double, n>;
    return {Jet(p.x, from), Jet(p.y, from + 1), Jet(p.z, from + 2)};
}

/// weight . (the gradient of swing and twist by a turn of `m` in the outer frame)
Point swing_twist_back(const Turn& m, const Point& weight) {
    using Jet = ceres::Jet<double, 3>;
    const Vec<Jet> e = varied<3>({0, 0, 0}, 0), parts = swing_twist<Jet>(exp_turn(e) * m);
    const Jet sum = dot(weight, parts);
    return {sum.v[0], sum.v[1], sum.v[2]};
}

} // namespace

void FullProblem::push(Wrenches& w, size_t piece, const Point& force, const Point& at) const {
    w[piece].force = w[piece].force + force;
    w[piece].torque = w[piece].torque + cross(at - origin_, force);
}

void FullProblem::push_point(const Placed<double>& p, double fore, double left, Wrenches& w) const {
    const Point by_torque = cross(fore_ * fore + left_ * left, up_) * (1 / dot(up_, force_));
    const Point by_moment = cross(gravity_, by_torque);
    for (size_t i = 0; i < pieces_.size(); ++i) {
        push(w, i, by_moment * pieces_[i].mass, p.pivot[i]);
        w[i].torque = w[i].torque + cross(p.turn[i] * pieces_[i].moment, by_moment);
    }
    for (const Pull& pull : pulls_) {
        if (pull.piece < 0) continue;
        const size_t i = static_cast<size_t>(pull.piece);
        push(w, i, cross(pull.force, by_torque), p.pivot[i] + p.turn[i] * pull.lever);
    }
}

void FullProblem::push_between(const Placed<double>& p, const Between& point, const Point& force,
                               Wrenches& w) const {
    for (int k = 0; k < 2; ++k) {
        const size_t i = static_cast<size_t>(point.piece[k]);
        push(w, i, force * (k == 0 ? 1 - point.part : point.part), p.pivot[i] + p.turn[i] * point.lever[k]);
    }
}

/// d skew(R) = (tr(R) I - R) w / 2 for a turn w.
const double* FullProblem::push_ends(const Placed<double>& p, const double* weight, Wrenches& w) const {
    for (size_t i = 0; i < pieces_.size(); ++i) {
        if (pieces_[i].kind != Piece::end) continue;
        const Point force = Point{weight[0], weight[1], weight[2]} * (1 / length_unit_);
        push(w, i, force, p.pivot[i]);
        push(w, i - 2, force * -limbs_[static_cast<size_t>(pieces_[i].limb)].ride, p.pivot[i - 2]);
        const Point turn = Point{weight[3], weight[4], weight[5]} * (1 / (10 * degree));
        const Turn& r = p.turn[i];
        const double trace = r.row[0].x + r.row[1].y + r.row[2].z;
        w[i].torque = w[i].torque + (turn * trace - transpose(r) * turn) * 0.5;
        weight += 6;
    }
    return weight;
}

const double* FullProblem::push_arms(const Placed<double>& p, const double* weight, Wrenches& w) const {
    using Jet = ceres::Jet<double, 12>;
    for (size_t i = 0; i < pieces_.size(); ++i) {
        if (pieces_[i].kind != Piece::first_span) continue;
        const FixedLimb& arm = limbs_[static_cast<size_t>(pieces_[i].limb)];
        if (!arm.holds) continue;
        const size_t level = static_cast<size_t>(level_.piece), chest = static_cast<size_t>(chest_);
        const Point wrist = p.pivot[level] + p.turn[level] * arm.grip, hinge = p.turn[i] * arm.shape.hinge(),
                    ahead = p.turn[chest] * arm.ahead;
        const Jet off = elbow_off<Jet>(arm, varied<12>(p.pivot[i], 0), varied<12>(wrist, 3),
                                       varied<12>(hinge, 6), varied<12>(ahead, 9)) *
                        (weight[3] / (10 * degree));
        const Point force = Point{weight[0], weight[1], weight[2]} * (1 / length_unit_);
        push(w, i + 1, force, p.pivot[i + 1] + p.turn[i + 1] * arm.shape.lower_span());
        push(w, level, Point{off.v[3], off.v[4], off.v[5]} - force, wrist);
        push(w, i, {off.v[0], off.v[1], off.v[2]}, p.pivot[i]);
        w[i].torque = w[i].torque + cross(hinge, Point{off.v[6], off.v[7], off.v[8]});
        w[chest].torque = w[chest].torque + cross(ahead, Point{off.v[9], off.v[10], off.v[11]});
        weight += 4;
    }
    return weight;
}

const double* FullProblem::push_limits(const Placed<double>& p, const double* weight, Wrenches& w) const {
    const auto add = [&](int joint_index, const Turn& outer, const Turn& inner, size_t above, size_t below) {
        const double* limits = joint(joint_index).limits;
        double parts[3] = {0, 0, 0};
        for (int a = 0; a < 3; ++a) {
            if (std::isfinite(limits[2 * a]) || std::isfinite(limits[2 * a + 1]))
                parts[a] = *weight++ / (10 * degree);
        }
        if (parts[0] == 0 && parts[1] == 0 && parts[2] == 0) return;
        const Point torque =
            outer * swing_twist_back(transpose(outer) * inner, {parts[0], parts[1], parts[2]});
        w[below].torque = w[below].torque + torque, w[above].torque = w[above].torque - torque;
    };
    for (size_t i = 0; i < pieces_.size(); ++i) {
        if (pieces_[i].kind != Piece::first_span) continue;
        const FixedLimb& leg = limbs_[static_cast<size_t>(pieces_[i].limb)];
        const aplomb_limb_info& limb = bones_.limbs[static_cast<size_t>(leg.limb)];
        const size_t link = static_cast<size_t>(leg.link);
        if (leg.start_limited)
            add(limb.upper, p.turn[link] * leg.start_parent, p.turn[i] * leg.start, link, i);
        if (leg.end_limited)
            add(limb.end, p.turn[i + 1] * leg.end_parent, p.turn[i + 2] * leg.end, i + 1, i + 2);
    }
    return weight;
}

void FullProblem::push_legs(const double* v, const Placed<double>& p, const double* weight, Wrenches& w,
                            double* out) const {
    using Jet = ceres::Jet<double, 6>;
    for (size_t i = 0; i < pieces_.size(); ++i) {
        if (pieces_[i].kind != Piece::first_span) continue;
        const FixedLimb& leg = limbs_[static_cast<size_t>(pieces_[i].limb)];
        if (leg.holds) continue;
        const int knee = leg.variable + 3;
        const auto bend = knee_cost(leg, ceres::Jet<double, 1>(value(v, knee), 0));
        out[knee] += *weight++ * bend.v[0] * scale_[static_cast<size_t>(knee)];
        const Point hinge = p.turn[i] * leg.shape.hinge();
        const Jet cost = swivel_cost<Jet>(leg, varied<6>(p.pivot[i], 0), varied<6>(hinge, 3)) * *weight++;
        push(w, i, {cost.v[0], cost.v[1], cost.v[2]}, p.pivot[i]);
        w[i].torque = w[i].torque + cross(hinge, Point{cost.v[3], cost.v[4], cost.v[5]});
        const auto shin = shin_cost<ceres::Jet<double, 3>>(leg, varied<3>(p.pivot[i + 1], 0)) * *weight++;
        push(w, i + 1, {shin.v[0], shin.v[1], shin.v[2]}, p.pivot[i + 1]);
    }
}

void FullProblem::add_own(const Piece& piece, const Point& gradient, double* out) const {
    const double all[3] = {gradient.x, gradient.y, gradient.z};
    for (int a = 0; a < 3; ++a)
        out[piece.variable + a] += all[a] * scale_[static_cast<size_t>(piece.variable + a)];
}

/// The load's place goes on to trunk, thighs and pull, its twist to the chest.
void FullProblem::sweep_level(const double* v, const Placed<double>& p, Wrenches& w, double* out) const {
    using Jet = ceres::Jet<double, 1 + aplomb::max_obstacles>;
    const size_t level = static_cast<size_t>(level_.piece), chest = static_cast<size_t>(chest_);
    const Point force = w[level].force, torque = w[level].torque - cross(p.pivot[level] - origin_, force);
    std::vector<Jet> fore = {Jet(dot(fore_, place_of(p, level_.axis) - level_.axis.keyed), 0)};
    if (level_.pull >= 0) fore[0].a -= value(v, level_.pull);
    for (const auto& [point, gap] : level_.obstacles)
        fore.push_back(
            Jet(dot(fore_, place_of(p, point) - point.keyed) - gap, static_cast<int>(fore.size())));
    const Jet ahead = ahead_of_body(fore) * dot(force, fore_);
    push_between(p, level_.axis, fore_ * ahead.v[0] + left_ * dot(force, left_) + up_ * dot(force, up_), w);
    for (size_t k = 0; k < level_.obstacles.size(); ++k)
        push_between(p, level_.obstacles[k].first, fore_ * ahead.v[static_cast<Eigen::Index>(1 + k)], w);
    if (level_.pull >= 0) out[level_.pull] -= ahead.v[0] * scale_[static_cast<size_t>(level_.pull)];
    w[chest].torque = w[chest].torque + log_back(log_turn(p.turn[chest]), up_ * dot(up_, torque));
}

/// Adds what a hanging arm's clearance asks of leg and start; returns the torque that goes on to the trunk.
Point FullProblem::sweep_follower(const Placed<double>& p, size_t i, Wrenches& w) const {
    const Piece& piece = pieces_[i];
    Point torque = w[i].torque - cross(p.pivot[i] - origin_, w[i].force);
    if (piece.clear >= 0) {
        const HangingArm& arm = hanging_[static_cast<size_t>(piece.clear)];
        const Turn bare = bare_turn(p, piece);
        const ceres::Jet<double, 1> gap(gap_to_leg(p, arm, p.pivot[i], bare), 0);
        const Point out = left_ * (arm.side * dot(torque, arm.ahead) * angle_off_leg(arm, gap).v[0]);
        push(w, i, out, p.pivot[i]);
        push_between(p, arm.leg, out * -1.0, w);
        torque = transpose(p.turn[i] * transpose(bare)) * torque + cross(bare * arm.line, out);
    }
    const Point link = log_turn(p.turn[static_cast<size_t>(piece.link)]);
    return log_back(link, exp_back(link * piece.keep, torque)) * piece.keep;
}

void FullProblem::sweep(const double* v, const Placed<double>& p, Wrenches& w, double* out) const {
    for (size_t i = pieces_.size(); i-- > 1;) {
        const Piece& piece = pieces_[i];
        if (piece.kind == Piece::level) {
            sweep_level(v, p, w, out);
            continue;
        }
        if (piece.kind == Piece::follower) {
            const Point torque = sweep_follower(p, i, w);
            const size_t link = static_cast<size_t>(piece.link), above = static_cast<size_t>(piece.parent);
            w[link].torque = w[link].torque + torque;
            w[above].force = w[above].force + w[i].force;
            w[above].torque = w[above].torque + cross(p.pivot[i] - origin_, w[i].force);
            continue;
        }
        const size_t above = static_cast<size_t>(piece.parent);
        const Turn& outer = p.turn[above];
        const Point arm = p.pivot[i] - origin_, torque = w[i].torque - cross(arm, w[i].force);
        Point inherited = torque;
        switch (piece.kind) {
        case Piece::hips:
        case Piece::follower:
        case Piece::level:
            break;
        case Piece::lean:
            add_own(
                piece,
                exp_back(three(v, piece.variable) + piece.own_key, transpose(outer * piece.before) * torque),
                out);
            break;
        case Piece::first_span:
        case Piece::end:
            add_own(piece, exp_back(three(v, piece.variable), transpose(outer) * torque), out);
            break;
        case Piece::second_span:
            out[piece.variable] -= scale_[static_cast<size_t>(piece.variable)] *
                                   dot(torque, outer * limbs_[static_cast<size_t>(piece.limb)].shape.hinge());
            break;
        }
        w[above].force = w[above].force + w[i].force;
        w[above].torque = w[above].torque + inherited + cross(arm, w[i].force);
    }
    const Point torque = w[0].torque - cross(p.pivot[0] - origin_, w[0].force);
    Piece hips;
    add_own(hips, {dot(fore_, w[0].force), dot(left_, w[0].force), dot(up_, w[0].force)}, out);
    hips.variable = 3;
    add_own(hips, transpose(hips_turn_) * exp_back(hips_turn_ * three(v, 3), torque), out);
}

void FullProblem::pull_back(const double* v, const double* residual_weight, const double* row_weight,
                            double* out) const {
    const Placed<double> p = place_all(v);
    Wrenches w(pieces_.size());
    std::fill(out, out + size(), 0.0);
    for (int i = 0; i < slack(); ++i) {
        if (counts_[static_cast<size_t>(i)]) out[i] += *residual_weight++;
    }
    const double weight = std::sqrt(options_.rest) / (options_.aim * leg_);
    const Point off = Point{p.fore - aim_[0], p.left - aim_[1], 0} * weight;
    const double root = std::sqrt(1 + dot(off, off) / 9), rate = std::sqrt(2 / (1 + root));
    const Point given{residual_weight[0], residual_weight[1], 0};
    const Point aim =
        (given * rate - off * (dot(given, off) / (9 * rate * root * (1 + root) * (1 + root)))) * weight;
    residual_weight += 2;
    double fore = aim.x, left = aim.y;
    const size_t chest = static_cast<size_t>(chest_);
    const Point turned = log_turn(p.turn[chest]);
    if (norm(turned) > most_turn)
        w[chest].torque = w[chest].torque + turned * (residual_weight[0] / (norm(turned) * most_turn_width));
    const double lean = -inside_.carriage.away / degree;
    if (dot(fore_, turned) * lean > 0)
        w[chest].torque = w[chest].torque + log_back(turned, fore_ * (lean * residual_weight[1]));
    residual_weight += 2;
    push_legs(v, p, residual_weight, w, out);

    row_weight = push_ends(p, row_weight, w);
    row_weight = push_arms(p, row_weight, w);
    for (const auto& edge : edges_) {
        const double lambda = *row_weight++;
        fore -= edge.first.x * lambda / length_unit_, left -= edge.first.y * lambda / length_unit_;
        out[slack()] += lambda;
    }
    w[chest].torque =
        w[chest].torque + turned * (2 * *row_weight++ / (options_.max_trunk * options_.max_trunk));
    for (int a = 0; a < 3; ++a)
        out[a] += 2 * *row_weight * value(v, a) * scale_[static_cast<size_t>(a)] /
                  std::pow(options_.max_hips * leg_, 2);
    push_limits(p, ++row_weight, w);
    push_point(p, fore, left, w);
    sweep(v, p, w, out);
}

} // namespace full_space
