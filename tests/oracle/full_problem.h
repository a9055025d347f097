// SPDX-License-Identifier: MIT
// The pose problem once more, written from the design's formula (sections 4.1 to 4.4) in the full space: hips,
// every joint of spine and neck, and the three joints of every fixed leg are free variables; feet stay by
// equality constraints. From the library it takes what the public C API tells: figure data, and of the keyed
// pose's reading support area, margin asked for, home and rest point. Metres.
//
// Left out, so that both spaces are the same problem: fixed hands, wished shares, locked joints, held feet
// that meet a limit, supports without an inside, trunks of more than 8 joints. The middle joint's turn about
// the limb's line is always free, with its cost (APLOMB_FREE_SWIVEL); legs of hips that may not move stay as
// they are.
#pragma once

#include <string>
#include <vector>

#include "balance/moment.h"
#include "oracle/limb_shape.h"

namespace full_space {

/// A figure as the public C API tells it. `unit`: metres per host unit.
struct Subject {
    explicit Subject(const aplomb_figure* of)
        : figure(of), bones(of), unit(bones.info.metres_per_unit), solver(own::make_solver(of)) {}
    const aplomb_figure* figure;
    own::Bones bones;
    double unit;
    own::SolverHandle solver;
};

/// What moves as one.
struct Piece {
    enum Kind { hips, lean, arm, first_span, second_span, end } kind = hips;
    int parent = -1; // piece
    int joint = -1;
    int variable = 0; // its first one
    Point pivot{};    // keyed
    Point lever{};    // from the parent's pivot
    double mass = 0;
    Point moment{};       // about the pivot, as keyed
    Turn before{}, key{}; // of a lean joint: its parent's and its own turn from the neutral
    Point own_key{};      // of a lean joint: its rotation vector against the parent
    double keep = 0;      // of an arm: part of the chest's turn that it takes over
    int limb = 0;         // of spans and ends
};

struct FixedLeg {
    int limb = -1; // the figure's
    bool bearing = false;
    LimbShape shape;
    int variable = 0; // thigh 3, knee 1, foot 3
    int link = 0;     // the piece that it starts from
    double least_bend = 0, most_bend = 0;
    double key = 0;                                    // smoothed bend
    Turn start_parent{}, start{}, end_parent{}, end{}; // keyed turns from the neutral
    bool start_limited = false, end_limited = false;
};

struct Range {
    double lowest, highest;
};

/// Metres and radians.
struct Violation {
    double ends = 0, limits = 0, support = 0;
};

class FullProblem {
public:
    static constexpr double huge = 1e18;

    FullProblem(const Subject& subject, const own::Moment& moment, const aplomb_reading& reading);

    /// Empty where this moment is one that the oracle can do; else why not.
    const std::string& left_out() const { return left_out_; }

    // The variables are scaled; the last one is the support's slack, in units of `length_unit`.
    int size() const { return static_cast<int>(scale_.size()); }
    int slack() const { return size() - 1; }
    double length_unit() const { return length_unit_; }
    /// Of a unit of the slack: 8 per 1 % of leg length (design section 4.4).
    double price() const { return 8 / (0.01 * leg_) * length_unit_; }
    const std::vector<Range>& bounds() const { return bounds_; }
    const std::vector<Range>& row_ranges() const { return rows_; }
    int residual_count() const { return residual_count_; }

    /// Fills residuals (the objective is half their sum of squares) and rows.
    template<class T>
    void evaluate(const T* v, T* residual, T* row) const;

    /// Sum of the residuals' and rows' gradients with these weights, backwards from forces and torques. Costs a
    /// few evaluations, whatever the number of variables.
    void pull_back(const double* v, const double* residual_weight, const double* row_weight,
                   double* out) const;

    double objective(const std::vector<double>& v) const;
    Violation violation(const std::vector<double>& v) const;

    /// The variables of a pose that keeps to the problem's joints.
    std::vector<double> variables_of(const own::World& pose) const;
    /// Hips where the support asks for them, the trunk bent as a whole (bend, twist, lean), legs as they
    /// follow.
    std::vector<double> start(const Point& trunk) const;
    std::vector<double> keyed() const { return follow(std::vector<double>(scale_.size(), 0.0)); }
    /// The written pose's held feet are at their keyed place and attitude.
    bool held_feet_stayed(const own::World& keyed, const own::World& now) const;
    double hips_kappa(int axis) const { return kappa_[axis]; }

private:
    template<class T>
    struct Placed {
        std::vector<Mat<T>> turn;
        std::vector<Vec<T>> pivot;
        Vec<T> moment;
        T fore, left;
    };
    struct Pull {
        int piece;
        Point lever, force;
    };
    struct Wrench {
        Point force{0, 0, 0}, torque{0, 0, 0}; // about the ground's origin
    };
    using Wrenches = std::vector<Wrench>;

    void find_ground(const own::Moment& m, const aplomb_reading& reading);
    void add_trunk(const own::Moment& m);
    void add_lean(const std::vector<int>& joints, const std::vector<Point>& sigma, bool free);
    std::vector<double> neck_parts(const std::vector<int>& joints) const;
    void add_legs(const own::Moment& m);
    bool starts_above_hips(int upper) const;
    void add_leg(const own::Moment& m, const aplomb_contact& contact);
    void add_arms(const own::Moment& m);
    int add_piece(const Piece& piece);
    void add_variables(int count, double scale, Range range);
    void lump(const own::Moment& m, const aplomb_reading& reading);
    void add_rows(const aplomb_reading& reading);
    void add_limit_rows(int joint, const Point& keyed);
    void find_aim(const own::Moment& m, const aplomb_reading& reading);
    double slope_of_hips(int axis) const;
    std::vector<double> follow(std::vector<double> v) const;
    void set_leg(const FixedLeg& leg, const Turn& link, const SolvedLimb& solved, const Turn& end,
                 std::vector<double>& v) const;

    Point place(int joint) const { return point_of(keyed_.place[static_cast<size_t>(joint)] * unit_); }
    Turn from_neutral(int joint) const {
        return turn_of(bones_.from_neutral(keyed_, joint).toRotationMatrix());
    }
    const aplomb_joint_info& joint(int j) const { return bones_.joints[static_cast<size_t>(j)]; }
    int owner(int j) const { return j < 0 ? -1 : owner_[static_cast<size_t>(j)]; }

    template<class T>
    T value(const T* v, int i) const {
        return v[i] * scale_[static_cast<size_t>(i)];
    }
    template<class T>
    Vec<T> three(const T* v, int i) const {
        return {value(v, i), value(v, i + 1), value(v, i + 2)};
    }
    template<class T>
    Placed<T> place_all(const T* v) const;
    template<class T>
    void find_point(Placed<T>& p) const;
    template<class T>
    T* leg_rows(const Placed<T>& p, T* row) const;
    template<class T>
    T* limit_rows(const Placed<T>& p, T* row) const;
    template<class T>
    T* leg_residuals(const T* v, const Placed<T>& p, T* out) const;
    template<class T>
    T knee_cost(const FixedLeg& leg, const T& bend) const;
    template<class T>
    T swivel_cost(const FixedLeg& leg, const Vec<T>& begin, const Vec<T>& hinge) const;

    void push(Wrenches& w, size_t piece, const Point& force, const Point& at) const;
    void push_point(const Placed<double>& p, double fore, double left, Wrenches& w) const;
    const double* push_ends(const Placed<double>& p, const double* weight, Wrenches& w) const;
    const double* push_limits(const Placed<double>& p, const double* weight, Wrenches& w) const;
    void push_legs(const double* v, const Placed<double>& p, const double* weight, Wrenches& w,
                   double* out) const;
    void sweep(const double* v, const Placed<double>& p, Wrenches& w, double* out) const;
    void add_own(const Piece& piece, const Point& gradient, double* out) const;

    const own::Bones& bones_;
    const aplomb_options& options_;
    double unit_, leg_, length_unit_;
    own::World keyed_;
    std::string left_out_;
    Point origin_{}, up_{0, 1, 0}, fore_{}, left_{}, gravity_{};
    Turn hips_turn_{}; // keyed, from the neutral
    Point hips_sigma_{};
    std::vector<int> owner_; // piece per joint
    std::vector<Piece> pieces_;
    std::vector<FixedLeg> legs_;
    std::vector<Pull> pulls_;
    Point still_moment_{}; // about the ground's origin
    Point force_{};
    std::vector<double> scale_;
    std::vector<char> counts_; // the variable's own square is part of the objective
    std::vector<Range> bounds_, rows_;
    std::vector<std::pair<Point, double>> edges_; // (fore, left, -) normal and offset, margin taken off
    int chest_ = 0, head_ = -1, residual_count_ = 0;
    double aim_[2] = {0, 0}, middle_[2] = {0, 0}, kappa_[2] = {1, 1};
};

// ---- Values ----------------------------------------------------------------------------------------------

template<class T>
FullProblem::Placed<T> FullProblem::place_all(const T* v) const {
    Placed<T> p;
    p.turn.reserve(pieces_.size()), p.pivot.reserve(pieces_.size());
    for (const Piece& piece : pieces_) {
        if (piece.parent < 0) {
            const Vec<T> s = three(v, 0);
            p.turn.push_back(exp_turn<T>(hips_turn_ * three(v, 3)));
            p.pivot.push_back(fore_ * s.x + left_ * s.y + up_ * s.z + piece.pivot);
            continue;
        }
        const size_t above = static_cast<size_t>(piece.parent);
        const Mat<T>& turn = p.turn[above];
        p.pivot.push_back(p.pivot[above] + turn * piece.lever);
        switch (piece.kind) {
        case Piece::hips:
            break;
        case Piece::lean:
            p.turn.push_back(turn * piece.before *
                             (exp_turn<T>(three(v, piece.variable) + piece.own_key) * transpose(piece.key)));
            break;
        case Piece::arm:
            p.turn.push_back(exp_turn<T>(log_turn(turn) * piece.keep));
            break;
        case Piece::first_span:
        case Piece::end:
            p.turn.push_back(turn * exp_turn(three(v, piece.variable)));
            break;
        case Piece::second_span:
            p.turn.push_back(turn *
                             legs_[static_cast<size_t>(piece.limb)].shape.knee(value(v, piece.variable)));
            break;
        }
    }
    find_point(p);
    return p;
}

/// p = o + n x tau / (n.F), design 4.3.
template<class T>
void FullProblem::find_point(Placed<T>& p) const {
    Vec<T> moment{T(still_moment_.x), T(still_moment_.y), T(still_moment_.z)};
    for (size_t i = 0; i < pieces_.size(); ++i) {
        const Piece& piece = pieces_[i];
        moment = moment + (p.pivot[i] - origin_) * piece.mass + p.turn[i] * piece.moment;
    }
    p.moment = moment;
    Vec<T> torque = cross(moment, gravity_);
    for (const Pull& pull : pulls_) {
        Vec<T> at{T(pull.lever.x), T(pull.lever.y), T(pull.lever.z)};
        if (pull.piece >= 0) {
            const size_t i = static_cast<size_t>(pull.piece);
            at = p.pivot[i] + p.turn[i] * pull.lever - origin_;
        }
        torque = torque + cross(at, pull.force);
    }
    const Vec<T> point = cross(up_, torque) * (1.0 / dot(up_, force_));
    p.fore = dot(fore_, point), p.left = dot(left_, point);
}

/// The end's place and attitude, then nothing else: equality.
template<class T>
T* FullProblem::leg_rows(const Placed<T>& p, T* row) const {
    for (size_t i = 0; i < pieces_.size(); ++i) {
        if (pieces_[i].kind != Piece::end) continue;
        const LimbShape& shape = legs_[static_cast<size_t>(pieces_[i].limb)].shape;
        const Vec<T> off = (p.pivot[i] - shape.end) * (1 / length_unit_),
                     turn = skew_part(p.turn[i]) * (1 / (10 * degree));
        for (const Vec<T>& three_rows : {off, turn})
            *row++ = three_rows.x, *row++ = three_rows.y, *row++ = three_rows.z;
    }
    return row;
}

template<class T>
T* FullProblem::limit_rows(const Placed<T>& p, T* row) const {
    const auto add = [&](int joint_index, const Mat<T>& turn) {
        const Vec<T> parts = swing_twist(turn);
        const double* limits = joint(joint_index).limits;
        const T all[3] = {parts.x, parts.y, parts.z};
        for (int a = 0; a < 3; ++a) {
            if (std::isfinite(limits[2 * a]) || std::isfinite(limits[2 * a + 1]))
                *row++ = all[a] * (1 / (10 * degree));
        }
    };
    for (size_t i = 0; i < pieces_.size(); ++i) {
        if (pieces_[i].kind != Piece::first_span) continue;
        const FixedLeg& leg = legs_[static_cast<size_t>(pieces_[i].limb)];
        const aplomb_limb_info& limb = bones_.limbs[static_cast<size_t>(leg.limb)];
        if (leg.start_limited)
            add(limb.upper, transpose(p.turn[static_cast<size_t>(leg.link)] * leg.start_parent) *
                                (p.turn[i] * leg.start));
        if (leg.end_limited)
            add(limb.end, transpose(p.turn[i + 1] * leg.end_parent) * (p.turn[i + 2] * leg.end));
    }
    return row;
}

/// What bending or straightening the middle joint costs.
template<class T>
T FullProblem::knee_cost(const FixedLeg& leg, const T& bend) const {
    const LimbShape& s = leg.shape;
    using std::cos;
    using std::sqrt;
    const T d = sqrt(cos(bend) * (2 * s.upper * s.lower) + (s.upper * s.upper + s.lower * s.lower));
    const T change = smooth_bend(d, s.length()) - leg.key;
    return change / (plain(change) > 0 ? options_.knee_bend : options_.knee_straighten);
}

/// What the middle joint's turn about the line from start to end costs.
template<class T>
T FullProblem::swivel_cost(const FixedLeg& leg, const Vec<T>& begin, const Vec<T>& hinge) const {
    const Vec<T> line = unit<T>(leg.shape.end - begin), side = cross(hinge, line);
    const Vec<T> carried = smallest_turn(leg.shape.line, line) * leg.shape.side;
    using std::atan2;
    return atan2(dot(line, cross(carried, side)), dot(carried, side)) / options_.swivel;
}

template<class T>
T* FullProblem::leg_residuals(const T* v, const Placed<T>& p, T* out) const {
    for (size_t i = 0; i < pieces_.size(); ++i) {
        if (pieces_[i].kind != Piece::first_span) continue;
        const FixedLeg& leg = legs_[static_cast<size_t>(pieces_[i].limb)];
        *out++ = knee_cost(leg, value(v, leg.variable + 3));
        *out++ = swivel_cost(leg, p.pivot[i], p.turn[i] * leg.shape.hinge());
    }
    return out;
}

template<class T>
void FullProblem::evaluate(const T* v, T* residual, T* row) const {
    const Placed<T> p = place_all(v);
    for (int i = 0; i < slack(); ++i) {
        if (!counts_[static_cast<size_t>(i)]) continue;
        *residual++ = i < 2 ? v[i] - middle_[i] : v[i];
    }
    const double weight = std::sqrt(options_.rest) / (options_.aim * leg_);
    const T fore = (p.fore - aim_[0]) * weight, left = (p.left - aim_[1]) * weight;
    using std::sqrt;
    const T rate =
        sqrt(T(2) / (T(1) + sqrt(T(1) + (fore * fore + left * left) * (1.0 / 9)))); // linear beyond 3
    *residual++ = fore * rate, *residual++ = left * rate;
    if (head_ >= 0) {
        const Vec<T> turn = log_turn(p.turn[static_cast<size_t>(head_)]) * (1 / options_.head);
        *residual++ = turn.x, *residual++ = turn.y, *residual++ = turn.z;
    }
    leg_residuals(v, p, residual);

    row = leg_rows(p, row);
    for (const auto& [normal, offset] : edges_)
        *row++ = (p.fore * -normal.x - p.left * normal.y + offset) * (1 / length_unit_) + v[slack()];
    const Vec<T> chest = log_turn(p.turn[static_cast<size_t>(chest_)]), s = three(v, 0);
    *row++ = dot(chest, chest) * (1 / (options_.max_trunk * options_.max_trunk));
    *row++ = dot(s, s) * (1 / std::pow(options_.max_hips * leg_, 2));
    limit_rows(p, row);
}

} // namespace full_space
