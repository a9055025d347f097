// SPDX-License-Identifier: MIT
#include "oracle/full_problem.h"

#include <array>

namespace full_space {
namespace {

constexpr double gravity_size = 9.80665; // ISO 80000-3
constexpr double least_bend = 1 * degree, give_way = 0.01;
constexpr double leg_turn_scale = 0.1; // radians in one unit of a thigh, knee or foot variable
constexpr int most_lean_joints = 8;
constexpr double measurable = 150 * degree; // of a swing

Point point_at(const double* v) {
    return {v[0], v[1], v[2]};
}
double at(const Point& p, int i) {
    return i == 0 ? p.x : i == 1 ? p.y : p.z;
}
Point zero() {
    return {0, 0, 0};
}

} // namespace

FullProblem::FullProblem(const Subject& subject, const own::Moment& m, const aplomb_reading& reading)
    : bones_(subject.bones), options_(m.options), unit_(subject.unit), leg_(bones_.info.leg_length * unit_),
      length_unit_(0.03 * leg_), keyed_(bones_.world(m.translations.data(), m.rotations.data())) {
    if (bones_.info.up_axis != APLOMB_AXIS_Y || bones_.info.forward_axis != APLOMB_AXIS_Z)
        left_out_ = "other axes";
    if (reading.edge_count < 3) left_out_ = "a support without an inside";
    for (const aplomb_contact& c : m.contacts) {
        if (!std::isnan(c.share)) left_out_ = "a wished share";
    }
    owner_.assign(bones_.joints.size(), -1);
    find_ground(m, reading);
    add_trunk(m);
    add_legs(m);
    add_arms(m);
    add_variables(1, 1.0, {0, huge}); // the slack
    counts_.back() = 0;
    if (!left_out_.empty()) return;
    lump(m, reading);
    add_rows(reading);
    find_aim(m, reading);
    residual_count_ = 2 + (head_ >= 0 ? 3 : 0) + 2 * static_cast<int>(legs_.size());
    for (const char counts : counts_)
        residual_count_ += counts;
}

void FullProblem::find_ground(const own::Moment& m, const aplomb_reading& reading) {
    hips_turn_ = from_neutral(bones_.info.hips);
    const Point heading = hips_turn_ * Point{0, 0, 1}, level = heading - up_ * dot(heading, up_);
    if (norm(level) < 0.2) left_out_ = "hips that lie";
    fore_ = unit(level), left_ = cross(up_, fore_);
    origin_ = point_at(reading.area[0]) * unit_;
    gravity_ = point_at(m.gravity);
    if (norm(gravity_) == 0) gravity_ = {0, -gravity_size, 0};
}

int FullProblem::add_piece(const Piece& given) {
    Piece piece = given;
    piece.pivot = place(piece.joint);
    for (int j = joint(piece.joint).parent; piece.parent < 0 && piece.kind != Piece::hips && j >= 0;
         j = joint(j).parent)
        piece.parent = owner(j);
    if (piece.parent >= 0) piece.lever = piece.pivot - pieces_[static_cast<size_t>(piece.parent)].pivot;
    owner_[static_cast<size_t>(piece.joint)] = static_cast<int>(pieces_.size());
    pieces_.push_back(piece);
    return static_cast<int>(pieces_.size()) - 1;
}

/// `scale` 0: fixed.
void FullProblem::add_variables(int count, double scale, Range range) {
    for (int i = 0; i < count; ++i) {
        const double unit_size = scale > 0 ? scale : 1.0;
        scale_.push_back(unit_size), counts_.push_back(scale > 0);
        if (scale > 0)
            bounds_.push_back(
                {std::max(-huge, range.lowest / unit_size), std::min(huge, range.highest / unit_size)});
        else
            bounds_.push_back({0, 0});
    }
}

void FullProblem::add_trunk(const own::Moment& m) {
    const aplomb_options& o = m.options;
    const auto free = [&](uint32_t bit, double value) { return o.free & bit ? value : 0.0; };
    hips_sigma_ = {free(APLOMB_FREE_HIPS_FORE, o.hips_fore * leg_),
                   free(APLOMB_FREE_HIPS_SIDE, o.hips_side * leg_),
                   free(APLOMB_FREE_HIPS_HEIGHT, o.hips_height * leg_)};
    for (int a = 0; a < 3; ++a)
        add_variables(1, at(hips_sigma_, a), {-huge, huge});
    add_variables(3, free(APLOMB_FREE_HIPS_TURN, o.hips_turn), {-o.max_trunk, o.max_trunk});
    Piece hips;
    hips.joint = bones_.info.hips;
    add_piece(hips);

    std::vector<int> spine, neck;
    std::vector<Point> spine_sigma, neck_sigma;
    for (int j = 0; j < bones_.info.joint_count; ++j) {
        if (joint(j).role == APLOMB_ROLE_NECK) neck.push_back(j);
        if (joint(j).role != APLOMB_ROLE_SPINE) continue;
        spine.push_back(j);
        const double* share = joint(j).spine_share;
        spine_sigma.push_back({std::sqrt(share[0]) * o.trunk_fore, std::sqrt(share[1]) * o.trunk_twist,
                               std::sqrt(share[2]) * o.trunk_side});
    }
    if (neck.empty() && bones_.info.head >= 0) neck.push_back(bones_.info.head);
    for (const double part : neck_parts(neck))
        neck_sigma.push_back(Point{1, 1, 1} * (std::sqrt(part) * o.neck));
    if (spine.size() + neck.size() > most_lean_joints) left_out_ = "a trunk of many joints";
    add_lean(spine, spine_sigma, o.free & APLOMB_FREE_SPINE);
    add_lean(neck, neck_sigma, o.free & APLOMB_FREE_NECK);

    const auto piece_of = [&](int j) {
        while (j >= 0 && owner(j) < 0)
            j = joint(j).parent;
        return owner(j);
    };
    chest_ = std::max(0, piece_of(bones_.info.chest));
    head_ = piece_of(bones_.info.head);
    if (!(o.free & APLOMB_FREE_NECK) || head_ <= 0 || head_ == chest_) head_ = -1;
}

/// By the length that each joint carries; the last one's goes to the head.
std::vector<double> FullProblem::neck_parts(const std::vector<int>& joints) const {
    const auto where = [&](int j) { return bones_.neutral.place[static_cast<size_t>(j)]; };
    std::vector<double> parts;
    double sum = 0;
    for (size_t i = 0; i < joints.size(); ++i) {
        double length = 0.05 * sum;
        if (i + 1 < joints.size())
            length = (where(joints[i + 1]) - where(joints[i])).norm();
        else if (bones_.info.head >= 0)
            length = std::max(length, (where(bones_.info.head) - where(joints[i])).norm());
        parts.push_back(joints.size() == 1 ? 1.0 : length);
        sum += parts.back();
    }
    for (double& part : parts)
        part /= sum;
    return parts;
}

void FullProblem::add_lean(const std::vector<int>& joints, const std::vector<Point>& sigma, bool free) {
    for (size_t i = 0; free && i < joints.size(); ++i) {
        Piece piece;
        piece.kind = Piece::lean, piece.joint = joints[i], piece.variable = size();
        piece.before = from_neutral(joint(joints[i]).parent), piece.key = from_neutral(joints[i]);
        if (joint(joints[i]).parent < 0) piece.before = identity();
        piece.own_key = log_turn(transpose(piece.before) * piece.key);
        const double* limits = joint(joints[i]).limits;
        for (int a = 0; a < 3; ++a) {
            const double key = at(piece.own_key, a); // what is keyed outside stays, and goes no further
            add_variables(1, at(sigma[i], a),
                          {std::min(0.0, limits[2 * a] - key), std::max(0.0, limits[2 * a + 1] - key)});
        }
        add_piece(piece);
    }
}

bool FullProblem::starts_above_hips(int upper) const {
    int j = joint(upper).parent;
    while (j >= 0 && owner(j) < 0)
        j = joint(j).parent;
    return owner(j) > 0;
}

void FullProblem::add_legs(const own::Moment& m) {
    const bool hips_move = std::any_of(counts_.begin(), counts_.begin() + 6, [](char c) { return c != 0; });
    for (const aplomb_contact& contact : m.contacts) {
        if (contact.hold == APLOMB_FREE) continue;
        if (contact.limb < 0)
            left_out_ = "a patch";
        else if (bones_.limbs[static_cast<size_t>(contact.limb)].kind == APLOMB_ARM)
            left_out_ = "a fixed hand";
        else if (hips_move || starts_above_hips(bones_.limbs[static_cast<size_t>(contact.limb)].upper))
            add_leg(m, contact); // else it stays as it is with the hips
    }
}

void FullProblem::add_leg(const own::Moment& m, const aplomb_contact& contact) {
    const aplomb_limb_info& limb = bones_.limbs[static_cast<size_t>(contact.limb)];
    FixedLeg leg;
    leg.limb = contact.limb, leg.bearing = contact.hold == APLOMB_BEARING;
    leg.shape = make_limb_shape(place(limb.upper), place(limb.lower), place(limb.end),
                                from_neutral(limb.upper) * Point{1, 0, 0});
    const LimbShape& s = leg.shape;
    const double* range = joint(limb.lower).limits;
    leg.least_bend = least_bend;
    leg.most_bend = std::max(s.bend, std::max(std::fabs(range[0]), std::fabs(range[1])));
    const double key_distance = norm(s.end - s.start), most = s.distance(least_bend);
    leg.key = smooth_bend(std::min(key_distance, most), s.length());
    if (!leg.bearing) {
        leg.least_bend = s.bend_at(most - give_way * s.length());
        if (s.bend < leg.least_bend) left_out_ = "a held foot at the end of its reach";
    } else if (!(m.options.free & APLOMB_FREE_HIPS_HEIGHT) && s.bend < least_bend) {
        left_out_ = "a straight knee under hips that may not be lowered";
    }
    leg.start_parent = from_neutral(joint(limb.upper).parent), leg.start = from_neutral(limb.upper);
    leg.end_parent = from_neutral(joint(limb.end).parent), leg.end = from_neutral(limb.end);
    leg.start_limited = leg.end_limited = leg.bearing;
    for (const Turn& turn : {transpose(leg.start_parent) * leg.start, transpose(leg.end_parent) * leg.end}) {
        const Point bone = turn * Point{0, -1, 0};
        if (leg.bearing && std::acos(std::clamp(-bone.y, -1.0, 1.0)) > measurable)
            left_out_ = "a swing of nearly half a turn";
    }
    Piece piece;
    piece.limb = static_cast<int>(legs_.size()), piece.variable = leg.variable = size();
    add_variables(3, leg_turn_scale, {-huge, huge});
    add_variables(1, leg_turn_scale, {leg.least_bend, leg.most_bend});
    add_variables(3, leg_turn_scale, {-huge, huge});
    std::fill(counts_.end() - 7, counts_.end(), char(0));
    piece.kind = Piece::first_span, piece.joint = limb.upper;
    const int first = add_piece(piece);
    leg.link = pieces_[static_cast<size_t>(first)].parent;
    piece.kind = Piece::second_span, piece.joint = limb.lower, piece.parent = first, piece.variable += 3;
    const int second = add_piece(piece);
    piece.kind = Piece::end, piece.joint = limb.end, piece.parent = second, piece.variable += 1;
    add_piece(piece);
    legs_.push_back(leg);
}

/// Free arms under a load that hangs, or is to stay level, take over a part of the chest's turn only.
void FullProblem::add_arms(const own::Moment& m) {
    for (const aplomb_load& load : m.loads) {
        const double give_back = load.hanging ? 0.5 : load.level;
        if (give_back <= 0 || load.mass <= 0) continue;
        for (const int32_t holder : load.holder) {
            for (const aplomb_limb_info& limb : bones_.limbs) {
                int j = holder;
                while (j > limb.upper)
                    j = joint(j).parent;
                if (holder < 0 || limb.kind != APLOMB_ARM || j != limb.upper || owner(limb.upper) >= 0)
                    continue;
                Piece piece;
                piece.kind = Piece::arm, piece.joint = limb.upper, piece.keep = 1 - give_back;
                add_piece(piece);
            }
        }
    }
}

void FullProblem::lump(const own::Moment& m, const aplomb_reading& reading) {
    const auto add = [&](int j, double mass, const Point& centre) {
        if (owner(j) < 0) {
            still_moment_ = still_moment_ + (centre - origin_) * mass;
            return;
        }
        Piece& piece = pieces_[static_cast<size_t>(owner(j))];
        piece.mass += mass, piece.moment = piece.moment + (centre - piece.pivot) * mass;
    };
    double total = 0;
    for (int j = 0; j < bones_.info.joint_count; ++j) {
        if (owner(j) < 0) owner_[static_cast<size_t>(j)] = owner(joint(j).parent);
        const Turn turn = turn_of(keyed_.turn[static_cast<size_t>(j)].toRotationMatrix());
        add(j, joint(j).mass, place(j) + turn * point_at(joint(j).centre) * unit_);
        total += joint(j).mass;
    }
    for (size_t i = 0; i < m.loads.size(); ++i) {
        const aplomb_load& load = m.loads[i];
        const Point hang = unit(gravity_) * (load.hanging ? load.hang * unit_ : 0.0);
        const int holders = load.holder[1] >= 0 ? 2 : 1;
        for (int h = 0; h < holders; ++h)
            add(load.holder[h], load.mass / holders, point_at(reading.load_centre[i]) * unit_ - hang);
        still_moment_ = still_moment_ + hang * load.mass;
        total += load.mass;
    }
    force_ = gravity_ * total;
    for (const aplomb_pull& pull : m.pulls) {
        const Turn turn = turn_of(keyed_.turn[static_cast<size_t>(pull.joint)].toRotationMatrix());
        const Point where = place(pull.joint) + turn * point_at(pull.point) * unit_;
        const int piece = owner(pull.joint);
        const Point from = piece < 0 ? origin_ : pieces_[static_cast<size_t>(piece)].pivot;
        pulls_.push_back({piece, where - from, point_at(pull.force)});
        force_ = force_ + point_at(pull.force);
    }
}

void FullProblem::add_rows(const aplomb_reading& reading) {
    rows_.assign(6 * legs_.size(), {0, 0});
    for (int i = 0; i < reading.edge_count; ++i) { // corners run counter-clockwise seen from above
        const Point a = point_at(reading.area[i]) * unit_ - origin_,
                    b = point_at(reading.area[(i + 1) % reading.edge_count]) * unit_ - origin_;
        const double along[2] = {dot(fore_, b - a), dot(left_, b - a)}, size = std::hypot(along[0], along[1]);
        const Point normal{along[1] / size, -along[0] / size, 0};
        const double offset = normal.x * dot(fore_, a) + normal.y * dot(left_, a);
        edges_.push_back({normal, offset - reading.margin_asked * unit_});
        rows_.push_back({0, huge});
    }
    rows_.push_back({-huge, 1}), rows_.push_back({-huge, 1}); // chest, hips
    for (const FixedLeg& leg : legs_) {
        const aplomb_limb_info& limb = bones_.limbs[static_cast<size_t>(leg.limb)];
        if (leg.start_limited)
            add_limit_rows(limb.upper, swing_twist(transpose(leg.start_parent) * leg.start));
        if (leg.end_limited) add_limit_rows(limb.end, swing_twist(transpose(leg.end_parent) * leg.end));
    }
}

/// What the keyed pose exceeds is not mended, and never made worse.
void FullProblem::add_limit_rows(int j, const Point& keyed) {
    for (int a = 0; a < 3; ++a) {
        const double low = joint(j).limits[2 * a], high = joint(j).limits[2 * a + 1], key = at(keyed, a);
        if (!std::isfinite(low) && !std::isfinite(high)) continue;
        rows_.push_back({std::max(-huge, std::min(low, key) / (10 * degree)),
                         std::min(huge, std::max(high, key) / (10 * degree))});
    }
}

/// Rest point, and what of the way to it the hips answer: phi (h - q) / kappa, with q the point of the way
/// from the balance point without loads to that with them which is nearest to home.
void FullProblem::find_aim(const own::Moment& m, const aplomb_reading& reading) {
    const auto flat = [&](const double* p) {
        const Point d = point_at(p) * unit_ - origin_;
        return std::array<double, 2>{dot(fore_, d), dot(left_, d)};
    };
    const auto aim = flat(reading.rest_point), home = flat(reading.home);
    Point torque = cross(point_at(reading.body_centre) * unit_ - origin_, gravity_ * bones_.body_mass()),
          force = gravity_ * bones_.body_mass();
    for (size_t i = 0; i < pulls_.size(); ++i) {
        const Point from =
            pulls_[i].piece < 0 ? zero() : pieces_[static_cast<size_t>(pulls_[i].piece)].pivot - origin_;
        torque = torque + cross(from + pulls_[i].lever, pulls_[i].force), force = force + pulls_[i].force;
    }
    const Point unloaded = cross(up_, torque) * (1 / dot(up_, force));
    const double p0[2] = {dot(fore_, unloaded), dot(left_, unloaded)};
    const auto p1 = flat(reading.balance_point);
    double along = 0, size2 = 0;
    for (size_t a = 0; a < 2; ++a)
        along += (home[a] - p0[a]) * (p1[a] - p0[a]), size2 += (p1[a] - p0[a]) * (p1[a] - p0[a]);
    const double t = size2 > 0 ? std::clamp(along / size2, 0.0, 1.0) : 0.0;
    for (size_t a = 0; a < 2; ++a) {
        aim_[a] = aim[a];
        const double way = aim[a] - (p0[a] + t * (p1[a] - p0[a])),
                     sigma = at(hips_sigma_, static_cast<int>(a));
        if (m.options.rest <= 0 || sigma <= 0) continue;
        kappa_[a] = std::max(0.5, slope_of_hips(static_cast<int>(a)));
        middle_[a] = std::fabs(way) > 1e-12 * leg_ ? way / kappa_[a] / sigma : 0;
    }
}

/// How far the balance point follows the keyed hips. A leg that is straight does not bend at once.
double FullProblem::slope_of_hips(int axis) const {
    const double step = 1e-6 * leg_;
    double point[2];
    for (int side = 0; side < 2; ++side) {
        std::vector<double> v(scale_.size(), 0.0);
        const double shift = side ? step : -step;
        v[static_cast<size_t>(axis)] = shift / scale_[static_cast<size_t>(axis)];
        Point stretched{0, 0, 0};
        for (const FixedLeg& leg : legs_) {
            const LimbShape& s = leg.shape;
            const bool straight = leg.bearing && norm(s.end - s.start) >= s.distance(least_bend);
            const Point begin = leg.link >= 0 ? s.start + (axis == 0 ? fore_ : left_) * shift : s.start;
            const Point end = straight ? begin + unit(s.end - begin) * s.distance(least_bend) : s.end;
            set_leg(leg, identity(), solve_limb(s, begin, end, straight ? least_bend : 0.0), identity(), v);
            for (const Piece& piece : pieces_) {
                if (straight && piece.kind == Piece::end && &legs_[static_cast<size_t>(piece.limb)] == &leg)
                    stretched = stretched + (end - s.end) * piece.mass;
            }
        }
        Placed<double> p = place_all(v.data());
        const Point moved = cross(up_, cross(stretched, gravity_)) * (1 / dot(up_, force_));
        point[side] = axis == 0 ? p.fore - dot(fore_, moved) : p.left - dot(left_, moved);
    }
    return (point[1] - point[0]) / (2 * step);
}

// ---- Settings of the variables ---------------------------------------------------------------------------

void FullProblem::set_leg(const FixedLeg& leg, const Turn& link, const SolvedLimb& solved, const Turn& end,
                          std::vector<double>& v) const {
    const Point thigh = log_turn(transpose(link) * solved.upper),
                foot = log_turn(transpose(solved.lower) * end);
    const double all[7] = {thigh.x, thigh.y, thigh.z, solved.bend, foot.x, foot.y, foot.z};
    for (size_t i = 0; i < 7; ++i)
        v[static_cast<size_t>(leg.variable) + i] = all[i] / leg_turn_scale;
}

std::vector<double> FullProblem::follow(std::vector<double> v) const {
    const Placed<double> p = place_all(v.data());
    for (size_t i = 0; i < pieces_.size(); ++i) {
        if (pieces_[i].kind != Piece::first_span) continue;
        const FixedLeg& leg = legs_[static_cast<size_t>(pieces_[i].limb)];
        set_leg(leg, p.turn[static_cast<size_t>(leg.link)],
                solve_limb(leg.shape, p.pivot[i], leg.shape.end, leg.least_bend), identity(), v);
    }
    return v;
}

std::vector<double> FullProblem::start(const Point& trunk) const {
    std::vector<double> v(scale_.size(), 0.0);
    v[0] = middle_[0], v[1] = middle_[1];
    const double size = std::hypot(v[0] * scale_[0], v[1] * scale_[1]),
                 most = 0.98 * options_.max_hips * leg_;
    if (size > most) v[0] *= most / size, v[1] *= most / size;
    double count = 0;
    for (const Piece& piece : pieces_)
        count += piece.kind == Piece::lean && joint(piece.joint).role == APLOMB_ROLE_SPINE;
    for (const Piece& piece : pieces_) {
        if (piece.kind != Piece::lean || joint(piece.joint).role != APLOMB_ROLE_SPINE) continue;
        for (int a = 0; a < 3; ++a) {
            const size_t i = static_cast<size_t>(piece.variable + a);
            v[i] = std::clamp(at(trunk, a) / count / scale_[i], bounds_[i].lowest, bounds_[i].highest);
        }
    }
    return follow(v);
}

std::vector<double> FullProblem::variables_of(const own::World& pose) const {
    const auto since_key = [&](int j) {
        const size_t i = static_cast<size_t>(j);
        return j < 0 ? identity() : turn_of((pose.turn[i] * keyed_.turn[i].conjugate()).toRotationMatrix());
    };
    std::vector<double> v(scale_.size(), 0.0);
    const auto set = [&](int i, const Point& p) {
        for (int a = 0; a < 3; ++a)
            v[static_cast<size_t>(i + a)] = at(p, a) / scale_[static_cast<size_t>(i + a)];
    };
    const int hips = bones_.info.hips;
    const Point moved = point_of(pose.place[static_cast<size_t>(hips)]) * unit_ - place(hips);
    set(0, {dot(fore_, moved), dot(left_, moved), dot(up_, moved)});
    set(3, transpose(hips_turn_) * log_turn(since_key(hips)));
    for (const Piece& piece : pieces_) {
        if (piece.kind != Piece::lean) continue;
        const Turn own = transpose(since_key(joint(piece.joint).parent) * piece.before) *
                         (since_key(piece.joint) * piece.key);
        set(piece.variable, log_turn(own) - piece.own_key);
    }
    for (const FixedLeg& leg : legs_) {
        const aplomb_limb_info& limb = bones_.limbs[static_cast<size_t>(leg.limb)];
        const auto now = [&](int j) { return point_of(pose.place[static_cast<size_t>(j)]) * unit_; };
        const Turn upper = since_key(limb.upper);
        const Point span = now(limb.end) - now(limb.lower);
        SolvedLimb solved;
        solved.upper = upper;
        const Turn frame = transpose(upper * leg.shape.upper_frame);
        const Point in_frame = frame * span; // along, hinge, across
        solved.bend = std::atan2(in_frame.z, in_frame.x);
        solved.lower = upper * leg.shape.knee(solved.bend);
        set_leg(leg, since_key(joint(limb.upper).parent), solved, since_key(limb.end), v);
    }
    return v;
}

bool FullProblem::held_feet_stayed(const own::World& keyed, const own::World& now) const {
    for (const FixedLeg& leg : legs_) {
        const size_t end = static_cast<size_t>(bones_.limbs[static_cast<size_t>(leg.limb)].end);
        if (leg.bearing) continue;
        if ((keyed.place[end] - now.place[end]).norm() * unit_ > 1e-8 * leg_ ||
            own::angle_between(keyed.turn[end], now.turn[end]) > 1e-8)
            return false;
    }
    return true;
}

// ---- Judgement -------------------------------------------------------------------------------------------

double FullProblem::objective(const std::vector<double>& v) const {
    std::vector<double> residual(static_cast<size_t>(residual_count_)), row(rows_.size());
    evaluate(v.data(), residual.data(), row.data());
    double sum = 0;
    for (const double r : residual)
        sum += r * r;
    return 0.5 * sum + price() * violation(v).support / length_unit_;
}

Violation FullProblem::violation(const std::vector<double>& given) const {
    std::vector<double> v = given, residual(static_cast<size_t>(residual_count_)), row(rows_.size());
    v.back() = 0;
    evaluate(v.data(), residual.data(), row.data());
    Violation worst;
    const size_t ends = 6 * legs_.size(), edges = ends + edges_.size();
    for (size_t i = 0; i < rows_.size(); ++i) {
        const double excess = std::max(rows_[i].lowest - row[i], row[i] - rows_[i].highest);
        if (i < ends)
            worst.ends = std::max(worst.ends, excess * (i % 6 < 3 ? length_unit_ : 10 * degree));
        else if (i < edges)
            worst.support = std::max(worst.support, excess * length_unit_);
        else if (i < edges + 2)
            worst.limits =
                std::max(worst.limits, (std::sqrt(std::max(0.0, 1 + excess)) - 1) *
                                           (i == edges ? options_.max_trunk : options_.max_hips * leg_));
        else
            worst.limits = std::max(worst.limits, excess * 10 * degree);
    }
    // A bend close to straight is hardly a length: the reach is what counts.
    for (const FixedLeg& leg : legs_) {
        const double bend = v[static_cast<size_t>(leg.variable) + 3] * leg_turn_scale;
        worst.limits = std::max(worst.limits, leg.shape.distance(bend) - leg.shape.distance(leg.least_bend));
        if (bend < 0) worst.limits = std::max(worst.limits, -bend);
    }
    for (size_t i = 0; i + 1 < v.size(); ++i) {
        const bool knee = std::any_of(legs_.begin(), legs_.end(), [&](const FixedLeg& leg) {
            return static_cast<size_t>(leg.variable) + 3 == i;
        });
        const double excess = std::max(knee ? -1.0 : bounds_[i].lowest - v[i], v[i] - bounds_[i].highest);
        worst.limits = std::max(worst.limits, excess * scale_[i]);
    }
    return worst;
}

} // namespace full_space
