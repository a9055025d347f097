// SPDX-License-Identifier: MIT
// The pose problem once more, written from the design's formula (sections 4.1 to 4.5) in the full space: hips,
// every joint of the spine, the three joints of every fixed leg, and shoulders and elbows of arms that hold a load
// between them are free variables; feet stay where they stand or ride, wrists stay with the load and elbows at their
// swivel by equality constraints. From the library it takes figure data, of the keyed pose's reading support area,
// margin asked for and rest point, and what is a constant of one moment: which parts follow, their keep and offer, a
// load's place, sink and gaps, targets, and the hips' part of the way to the rest point. Metres.
//
// Left out, so that both spaces are the same problem: fixed hands, wished shares, locked joints, held feet and wrists
// that meet a limit, supports without an inside, trunks of more than 8 joints. The middle joint's turn about
// a leg's line is always free, with its cost (APLOMB_FREE_SWIVEL); legs of hips that may not move stay as
// they are.
#pragma once

#include <string>
#include <vector>

#include "balance/inside.h"
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
    enum Kind { hips, lean, follower, first_span, second_span, end, level } kind = hips;
    int parent = -1; // piece
    int joint = -1;
    int variable = 0; // its first one
    Point pivot{};    // keyed
    Point lever{};    // from the parent's pivot
    double mass = 0;
    Point moment{};       // about the pivot, as keyed
    Turn before{}, key{}; // of a lean joint: its parent's and its own turn from the neutral
    Point own_key{};      // of a lean joint: its rotation vector against the parent
    // Of a follower: the hips or spine joint whose turn it goes by, the part that it takes over, and what it does on its
    // own.
    int link = 0;
    double keep = 0;
    Turn offer{};
    int clear = -1; // hanging arm
    int limb = 0;   // of spans and ends
};

/// A point of the body: between two points on pieces.
struct Between {
    int piece[2] = {0, 0};
    Point lever[2] = {{0, 0, 0}, {0, 0, 0}};
    double part = 0; // of the second
    Point keyed{};
};

/// What keeps a hanging arm off the leg.
struct HangingArm {
    double side = 0, hang = 0, wanted = 0, length = 0, at_key = 0;
    Point line{}, ahead{};
    Between leg;
};

/// A load in both hands.
struct LevelCarry {
    int piece = -1, pull = -1; // variable
    double sink = 0, smoothing = 0, fore_at_key = 0;
    Point drawn{0, 0, 0}; // towards arms that are keyed straight
    Between axis;
    std::vector<std::pair<Between, double>> obstacles; // with their gaps
};

struct FixedLimb {
    int limb = -1; // the figure's
    bool bearing = false;
    bool holds = false;                     // an arm: no end of its own
    double bears = 0, ride = 0, wished = 0; // how much it bears; part of its hip's way; bend beyond the key
    double shin_cap = -1;                   // ahead of plumb; negative: no shin
    Point grip{}, ahead{};                  // of an arm: its wrist from the load; where the chest faces
    double elbow_outwards = 0, elbow_limit = 0, elbow_at_key = 0;
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
    static constexpr double nearly_straight = 1e-3; // an elbow past the bound of its reach
    static constexpr double most_turn = 22 * degree, most_turn_width = 1.5 * degree; // of a chest

    FullProblem(const Subject& subject, const own::Moment& moment, const aplomb_reading& reading,
                const own::Inside& inside);

    /// Empty where this moment is one that the oracle can do; else why not.
    const std::string& left_out() const { return left_out_; }

    // The variables are scaled; the last one is the support's slack, in units of `length_unit`.
    int size() const { return static_cast<int>(scale_.size()); }
    int slack() const { return size() - 1; }
    double length_unit() const { return length_unit_; }
    /// Of a unit of the slack: 12 per 1 % of leg length.
    double price() const { return 12 / (0.01 * leg_) * length_unit_; }
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
    /// The written pose's held feet are where they ride, in their keyed attitude.
    bool held_feet_stayed(const own::World& keyed, const own::World& now) const;
    /// The written pose's hands turn with the load that they hold.
    bool wrists_kept(const own::World& now) const;
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
    void add_lean(const std::vector<int>& joints, const std::vector<Point>& shares, const Point& whole);
    void add_legs(const own::Moment& m);
    bool starts_above_hips(int upper) const;
    void add_leg(const own::Moment& m, const aplomb_contact& contact);
    FixedLimb begin_limb(int limb, const Point& hinge) const;
    int add_spans(FixedLimb& limb);
    void add_followers();
    void add_level();
    void add_arm(const aplomb::FixedLimb& holding);
    Between between(const aplomb::BodyPoint& point) const;
    int add_piece(const Piece& piece);
    void add_variables(int count, double scale, Range range);
    void lump(const own::Moment& m, const aplomb_reading& reading);
    void add_rows(const aplomb_reading& reading);
    void add_limit_rows(int joint, const Point& keyed);
    void find_aim(const own::Moment& m, const aplomb_reading& reading);
    void find_targets();
    double slope_of_hips(int axis) const;
    std::vector<double> follow(std::vector<double> v) const;
    void set_leg(const FixedLimb& leg, const Turn& link, const SolvedLimb& solved, const Turn& end,
                 std::vector<double>& v) const;
    void set_arms(std::vector<double>& v) const;
    double pull_of(std::vector<double> v, const own::World& pose) const;

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
    Vec<T> place_of(const Placed<T>& p, const Between& point) const;
    template<class T>
    Mat<T> bare_turn(const Placed<T>& p, const Piece& piece) const;
    template<class T>
    T angle_off_leg(const HangingArm& arm, const T& gap) const;
    template<class T>
    T gap_to_leg(const Placed<T>& p, const HangingArm& arm, const Vec<T>& start, const Mat<T>& turn) const;
    template<class T>
    void place_level(const T* v, Placed<T>& p) const;
    template<class T>
    T ahead_of_body(const std::vector<T>& fore) const;
    template<class T>
    Vec<T> end_of(const FixedLimb& leg, const Vec<T>& begin) const;
    template<class T>
    T swivel_asked(const FixedLimb& arm, const Vec<T>& begin, const Vec<T>& wrist, const Vec<T>& ahead) const;
    template<class T>
    T swivel_of(const LimbShape& shape, const Vec<T>& line, const Vec<T>& hinge) const;
    template<class T>
    T elbow_off(const FixedLimb& arm, const Vec<T>& begin, const Vec<T>& wrist, const Vec<T>& hinge,
                const Vec<T>& ahead) const;
    template<class T>
    T shin_cost(const FixedLimb& leg, const Vec<T>& knee) const;
    template<class T>
    T* arm_rows(const Placed<T>& p, T* row) const;
    template<class T>
    T* trunk_residuals(const Placed<T>& p, T* out) const;
    template<class T>
    void find_point(Placed<T>& p) const;
    template<class T>
    T* leg_rows(const Placed<T>& p, T* row) const;
    template<class T>
    T* limit_rows(const Placed<T>& p, T* row) const;
    template<class T>
    T* leg_residuals(const T* v, const Placed<T>& p, T* out) const;
    template<class T>
    T knee_cost(const FixedLimb& leg, const T& bend) const;
    template<class T>
    T swivel_cost(const FixedLimb& leg, const Vec<T>& begin, const Vec<T>& hinge) const;

    void push(Wrenches& w, size_t piece, const Point& force, const Point& at) const;
    void push_point(const Placed<double>& p, double fore, double left, Wrenches& w) const;
    void push_between(const Placed<double>& p, const Between& point, const Point& force, Wrenches& w) const;
    const double* push_ends(const Placed<double>& p, const double* weight, Wrenches& w) const;
    const double* push_arms(const Placed<double>& p, const double* weight, Wrenches& w) const;
    void sweep_level(const double* v, const Placed<double>& p, Wrenches& w, double* out) const;
    Point sweep_follower(const Placed<double>& p, size_t piece, Wrenches& w) const;
    const double* push_limits(const Placed<double>& p, const double* weight, Wrenches& w) const;
    void push_legs(const double* v, const Placed<double>& p, const double* weight, Wrenches& w,
                   double* out) const;
    void sweep(const double* v, const Placed<double>& p, Wrenches& w, double* out) const;
    void add_own(const Piece& piece, const Point& gradient, double* out) const;

    const own::Bones& bones_;
    const own::Inside& inside_; // of which constants are taken alone
    const aplomb_options& options_;
    double unit_, leg_, length_unit_;
    own::World keyed_;
    std::string left_out_;
    Point origin_{}, up_{0, 1, 0}, fore_{}, left_{}, gravity_{};
    Turn hips_turn_{}; // keyed, from the neutral
    Point hips_sigma_{};
    std::vector<int> owner_; // piece per joint
    std::vector<Piece> pieces_;
    std::vector<FixedLimb> limbs_;
    std::vector<HangingArm> hanging_;
    LevelCarry level_;
    std::vector<Pull> pulls_;
    Point still_moment_{}; // about the ground's origin
    Point force_{};
    std::vector<double> scale_;
    std::vector<char> counts_; // the variable's own square is part of the objective
    std::vector<Range> bounds_, rows_;
    std::vector<std::pair<Point, double>> edges_; // (fore, left, -) normal and offset, margin taken off
    int chest_ = 0, residual_count_ = 0;
    double aim_[2] = {0, 0}, kappa_[2] = {1, 1};
    std::vector<double> middle_; // what each variable is measured from
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
        if (piece.kind == Piece::level) {
            place_level(v, p);
            continue;
        }
        const size_t above = static_cast<size_t>(piece.parent);
        const Mat<T> turn = p.turn[above];
        p.pivot.push_back(p.pivot[above] + turn * piece.lever);
        switch (piece.kind) {
        case Piece::hips:
        case Piece::level:
            break;
        case Piece::lean:
            p.turn.push_back(turn * piece.before *
                             (exp_turn<T>(three(v, piece.variable) + piece.own_key) * transpose(piece.key)));
            break;
        case Piece::follower: {
            Mat<T> own = bare_turn(p, piece);
            if (piece.clear >= 0) {
                const HangingArm& arm = hanging_[static_cast<size_t>(piece.clear)];
                const T angle = angle_off_leg(arm, gap_to_leg(p, arm, p.pivot.back(), own));
                own =
                    exp_turn<T>(Vec<T>{angle * arm.ahead.x, angle * arm.ahead.y, angle * arm.ahead.z}) * own;
            }
            p.turn.push_back(own);
            break;
        }
        case Piece::first_span:
        case Piece::end:
            p.turn.push_back(turn * exp_turn(three(v, piece.variable)));
            break;
        case Piece::second_span:
            p.turn.push_back(turn *
                             limbs_[static_cast<size_t>(piece.limb)].shape.knee(value(v, piece.variable)));
            break;
        }
    }
    find_point(p);
    return p;
}

template<class T>
Vec<T> FullProblem::place_of(const Placed<T>& p, const Between& point) const {
    Vec<T> end[2];
    for (int k = 0; k < 2; ++k) {
        const size_t i = static_cast<size_t>(point.piece[k]);
        end[k] = p.pivot[i] + p.turn[i] * point.lever[k];
    }
    return end[0] * (1 - point.part) + end[1] * point.part;
}

/// About the greater of two; `width` is where they are taken for near.
template<class T>
T greater_of(const T& a, const T& b, double width) {
    using std::sqrt;
    return (a + b + sqrt((a - b) * (a - b) + width * width)) * 0.5;
}

/// A follower's turn: exp(keep log(turn of the trunk)), after what it does on its own.
template<class T>
Mat<T> FullProblem::bare_turn(const Placed<T>& p, const Piece& piece) const {
    return exp_turn<T>(log_turn(p.turn[static_cast<size_t>(piece.link)]) * piece.keep) * piece.offer;
}

/// Between where a hanging arm holds its load and the leg, outwards.
template<class T>
T FullProblem::gap_to_leg(const Placed<T>& p, const HangingArm& arm, const Vec<T>& start,
                          const Mat<T>& turn) const {
    return (dot(left_, start + turn * arm.line - place_of(p, arm.leg)) + arm.hang) * arm.side;
}

template<class T>
T FullProblem::angle_off_leg(const HangingArm& arm, const T& gap) const {
    const T tangent = greater_of<T>((arm.wanted - gap) * (1 / arm.length), T(0.0), 0.03) - arm.at_key;
    using std::atan2;
    return atan2(tangent, T(1.0)) * arm.side;
}

/// How far ahead the load comes: `fore` is the trunk's axis less the pull, then the obstacles less their gaps; the axis is
/// nested last.
template<class T>
T FullProblem::ahead_of_body(const std::vector<T>& fore) const {
    std::vector<T> order(fore.begin() + 1, fore.end());
    order.push_back(fore[0]);
    T most = order[0];
    for (size_t k = 1; k < order.size(); ++k)
        most = greater_of<T>(most, order[k], level_.smoothing);
    return most - level_.fore_at_key;
}

template<class T>
void FullProblem::place_level(const T* v, Placed<T>& p) const {
    const auto shift = [&](const Between& point) { return place_of(p, point) - point.keyed; };
    const Vec<T> axis = shift(level_.axis);
    std::vector<T> fore = {dot(fore_, axis)};
    if (level_.pull >= 0) fore[0] = fore[0] - value(v, level_.pull);
    for (const auto& [point, gap] : level_.obstacles)
        fore.push_back(dot(fore_, shift(point)) - gap);
    const T ahead = ahead_of_body(fore), aside = dot(left_, axis), above = dot(up_, axis) - level_.sink;
    const auto along = [](const Point& axis_of, const T& way) {
        return Vec<T>{way * axis_of.x, way * axis_of.y, way * axis_of.z};
    };
    p.pivot.push_back(along(fore_, ahead) + along(left_, aside) + along(up_, above) +
                      pieces_[static_cast<size_t>(level_.piece)].pivot + level_.drawn);
    p.turn.push_back(exp_turn<T>(along(up_, dot(up_, log_turn(p.turn[static_cast<size_t>(chest_)])))));
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

/// Where a leg's end belongs.
template<class T>
Vec<T> FullProblem::end_of(const FixedLimb& leg, const Vec<T>& begin) const {
    return (begin - leg.shape.start) * leg.ride + leg.shape.end;
}

/// The end's place and attitude, then nothing else: equality.
template<class T>
T* FullProblem::leg_rows(const Placed<T>& p, T* row) const {
    for (size_t i = 0; i < pieces_.size(); ++i) {
        if (pieces_[i].kind != Piece::end) continue;
        const FixedLimb& leg = limbs_[static_cast<size_t>(pieces_[i].limb)];
        const Vec<T> off = (p.pivot[i] - end_of(leg, p.pivot[i - 2])) * (1 / length_unit_),
                     turn = skew_part(p.turn[i]) * (1 / (10 * degree));
        for (const Vec<T>& three_rows : {off, turn})
            *row++ = three_rows.x, *row++ = three_rows.y, *row++ = three_rows.z;
    }
    return row;
}

/// An upper arm whose angle behind the chest passes its limit takes the elbow outwards by 2 (sm(sine - limit) - sm at the
/// key), at most 75 degrees; sine as the arm would have it without.
template<class T>
T FullProblem::swivel_asked(const FixedLimb& arm, const Vec<T>& begin, const Vec<T>& wrist,
                            const Vec<T>& ahead) const {
    using std::sqrt;
    const double upper = arm.shape.upper, lower = arm.shape.lower, width = 4 * degree, most = 75 * degree;
    const Vec<T> way = wrist - begin, line = unit<T>(way);
    const Vec<T> carried = smallest_turn(arm.shape.line, line) * arm.shape.side;
    T d = norm(way);
    const double straight = arm.shape.distance(nearly_straight);
    if (plain(d) > straight) d = T(straight); // only a trial is there, and it has to be a number
    const T along = (d * d + (upper * upper - lower * lower)) / (d * (2 * upper)),
            off = sqrt(T(1.0) - along * along);
    const T past = -dot(line * along + carried * off, ahead) - arm.elbow_limit;
    const T wish = past + sqrt(past * past + width * width) - width - 2 * arm.elbow_at_key;
    return wish / sqrt(T(1.0) + wish * wish * (1 / (most * most))) * arm.elbow_outwards;
}

/// The middle's turn about the line from start to end.
template<class T>
T FullProblem::swivel_of(const LimbShape& shape, const Vec<T>& line, const Vec<T>& hinge) const {
    const Vec<T> side = cross(hinge, line), carried = smallest_turn(shape.line, line) * shape.side;
    using std::atan2;
    return atan2(dot(line, cross(carried, side)), dot(carried, side));
}

template<class T>
T FullProblem::elbow_off(const FixedLimb& arm, const Vec<T>& begin, const Vec<T>& wrist, const Vec<T>& hinge,
                         const Vec<T>& ahead) const {
    return swivel_of<T>(arm.shape, unit<T>(wrist - begin), hinge) - swivel_asked<T>(arm, begin, wrist, ahead);
}

/// Of arms that hold a load: the wrist's place and the elbow's swivel; equality.
template<class T>
T* FullProblem::arm_rows(const Placed<T>& p, T* row) const {
    for (size_t i = 0; i < pieces_.size(); ++i) {
        if (pieces_[i].kind != Piece::first_span) continue;
        const FixedLimb& arm = limbs_[static_cast<size_t>(pieces_[i].limb)];
        if (!arm.holds) continue;
        const size_t level = static_cast<size_t>(level_.piece);
        const Vec<T> wrist = p.pivot[level] + p.turn[level] * arm.grip;
        const Vec<T> off =
            (p.pivot[i + 1] + p.turn[i + 1] * arm.shape.lower_span() - wrist) * (1 / length_unit_);
        *row++ = off.x, *row++ = off.y, *row++ = off.z;
        *row++ = elbow_off<T>(arm, p.pivot[i], wrist, p.turn[i] * arm.shape.hinge(),
                              p.turn[static_cast<size_t>(chest_)] * arm.ahead) *
                 (1 / (10 * degree));
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
        const FixedLimb& leg = limbs_[static_cast<size_t>(pieces_[i].limb)];
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
T FullProblem::knee_cost(const FixedLimb& leg, const T& bend) const {
    const LimbShape& s = leg.shape;
    using std::cos;
    using std::sqrt;
    const T d = sqrt(cos(bend) * (2 * s.upper * s.lower) + (s.upper * s.upper + s.lower * s.lower));
    const T change = smooth_bend(d, s.length()) - (leg.key + leg.wished);
    return change * ((1 - leg.ride) / (plain(change) > 0 ? options_.knee_bend : options_.knee_straighten));
}

/// What the middle joint's turn about the line from start to end costs.
template<class T>
T FullProblem::swivel_cost(const FixedLimb& leg, const Vec<T>& begin, const Vec<T>& hinge) const {
    return swivel_of<T>(leg.shape, unit<T>(end_of(leg, begin) - begin), hinge) / options_.swivel;
}

/// What a shin costs that comes too far ahead of plumb, 1 for a degree.
template<class T>
T FullProblem::shin_cost(const FixedLimb& leg, const Vec<T>& knee) const {
    if (leg.shin_cap < 0) return T(0.0);
    const Vec<T> shin = knee - leg.shape.end;
    using std::atan2;
    const T past = atan2(dot(fore_, shin), dot(up_, shin)) - leg.shin_cap;
    return plain(past) > 0 ? past * (leg.bears / degree) : T(0.0);
}

/// A chest that turns by more than 22 degrees, 1 for 1.5; one that leans towards what is carried at one side, 1 for 1.
template<class T>
T* FullProblem::trunk_residuals(const Placed<T>& p, T* out) const {
    const Vec<T> chest = log_turn(p.turn[static_cast<size_t>(chest_)]);
    const T size2 = dot(chest, chest);
    using std::sqrt;
    *out++ =
        plain(size2) > most_turn * most_turn ? (sqrt(size2) - most_turn) * (1 / most_turn_width) : T(0.0);
    const T lean = dot(fore_, chest) * (-inside_.carriage.away / degree);
    *out++ = plain(lean) > 0 ? lean : T(0.0);
    return out;
}

template<class T>
T* FullProblem::leg_residuals(const T* v, const Placed<T>& p, T* out) const {
    for (size_t i = 0; i < pieces_.size(); ++i) {
        if (pieces_[i].kind != Piece::first_span) continue;
        const FixedLimb& leg = limbs_[static_cast<size_t>(pieces_[i].limb)];
        if (leg.holds) continue;
        *out++ = knee_cost(leg, value(v, leg.variable + 3));
        *out++ = swivel_cost(leg, p.pivot[i], p.turn[i] * leg.shape.hinge());
        *out++ = shin_cost(leg, p.pivot[i + 1]);
    }
    return out;
}

template<class T>
void FullProblem::evaluate(const T* v, T* residual, T* row) const {
    const Placed<T> p = place_all(v);
    for (int i = 0; i < slack(); ++i) {
        if (!counts_[static_cast<size_t>(i)]) continue;
        *residual++ = v[i] - middle_[static_cast<size_t>(i)];
    }
    const double weight = std::sqrt(options_.rest) / (options_.aim * leg_);
    const T fore = (p.fore - aim_[0]) * weight, left = (p.left - aim_[1]) * weight;
    using std::sqrt;
    const T rate =
        sqrt(T(2) / (T(1) + sqrt(T(1) + (fore * fore + left * left) * (1.0 / 9)))); // linear beyond 3
    *residual++ = fore * rate, *residual++ = left * rate;
    residual = trunk_residuals(p, residual);
    leg_residuals(v, p, residual);

    row = leg_rows(p, row);
    row = arm_rows(p, row);
    for (const auto& [normal, offset] : edges_)
        *row++ = (p.fore * -normal.x - p.left * normal.y + offset) * (1 / length_unit_) + v[slack()];
    const Vec<T> chest = log_turn(p.turn[static_cast<size_t>(chest_)]), s = three(v, 0);
    *row++ = dot(chest, chest) * (1 / (options_.max_trunk * options_.max_trunk));
    *row++ = dot(s, s) * (1 / std::pow(options_.max_hips * leg_, 2));
    limit_rows(p, row);
}

} // namespace full_space
