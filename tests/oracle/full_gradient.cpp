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

/// d skew(R) = (tr(R) I - R) w / 2 for a turn w.
const double* FullProblem::push_ends(const Placed<double>& p, const double* weight, Wrenches& w) const {
    for (size_t i = 0; i < pieces_.size(); ++i) {
        if (pieces_[i].kind != Piece::end) continue;
        push(w, i, Point{weight[0], weight[1], weight[2]} * (1 / length_unit_), p.pivot[i]);
        const Point turn = Point{weight[3], weight[4], weight[5]} * (1 / (10 * degree));
        const Turn& r = p.turn[i];
        const double trace = r.row[0].x + r.row[1].y + r.row[2].z;
        w[i].torque = w[i].torque + (turn * trace - transpose(r) * turn) * 0.5;
        weight += 6;
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
        const FixedLeg& leg = legs_[static_cast<size_t>(pieces_[i].limb)];
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
        const FixedLeg& leg = legs_[static_cast<size_t>(pieces_[i].limb)];
        const int knee = leg.variable + 3;
        const auto bend = knee_cost(leg, ceres::Jet<double, 1>(value(v, knee), 0));
        out[knee] += *weight++ * bend.v[0] * scale_[static_cast<size_t>(knee)];
        const Point hinge = p.turn[i] * leg.shape.hinge();
        const Jet cost = swivel_cost<Jet>(leg, varied<6>(p.pivot[i], 0), varied<6>(hinge, 3)) * *weight++;
        push(w, i, {cost.v[0], cost.v[1], cost.v[2]}, p.pivot[i]);
        w[i].torque = w[i].torque + cross(hinge, Point{cost.v[3], cost.v[4], cost.v[5]});
    }
}

void FullProblem::add_own(const Piece& piece, const Point& gradient, double* out) const {
    const double all[3] = {gradient.x, gradient.y, gradient.z};
    for (int a = 0; a < 3; ++a)
        out[piece.variable + a] += all[a] * scale_[static_cast<size_t>(piece.variable + a)];
}

void FullProblem::sweep(const double* v, const Placed<double>& p, Wrenches& w, double* out) const {
    for (size_t i = pieces_.size(); i-- > 1;) {
        const Piece& piece = pieces_[i];
        const size_t above = static_cast<size_t>(piece.parent);
        const Turn& outer = p.turn[above];
        const Point arm = p.pivot[i] - origin_, torque = w[i].torque - cross(arm, w[i].force);
        Point inherited = torque;
        switch (piece.kind) {
        case Piece::hips:
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
                                   dot(torque, outer * legs_[static_cast<size_t>(piece.limb)].shape.hinge());
            break;
        case Piece::arm: {
            const Point chest = log_turn(outer);
            inherited = log_back(chest, exp_back(chest * piece.keep, torque)) * piece.keep;
            break;
        }
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
    if (head_ >= 0) {
        const size_t head = static_cast<size_t>(head_);
        const Point r{residual_weight[0], residual_weight[1], residual_weight[2]};
        w[head].torque = w[head].torque + log_back(log_turn(p.turn[head]), r * (1 / options_.head));
        residual_weight += 3;
    }
    push_legs(v, p, residual_weight, w, out);

    row_weight = push_ends(p, row_weight, w);
    for (const auto& edge : edges_) {
        const double lambda = *row_weight++;
        fore -= edge.first.x * lambda / length_unit_, left -= edge.first.y * lambda / length_unit_;
        out[slack()] += lambda;
    }
    const size_t chest = static_cast<size_t>(chest_);
    w[chest].torque = w[chest].torque + log_turn(p.turn[chest]) *
                                            (2 * *row_weight++ / (options_.max_trunk * options_.max_trunk));
    for (int a = 0; a < 3; ++a)
        out[a] += 2 * *row_weight * value(v, a) * scale_[static_cast<size_t>(a)] /
                  std::pow(options_.max_hips * leg_, 2);
    push_limits(p, ++row_weight, w);
    push_point(p, fore, left, w);
    sweep(v, p, w, out);
}

} // namespace full_space
