// SPDX-License-Identifier: MIT
#include "oracle/full_problem.h"

#include <array>

namespace full_space {
namespace {

constexpr double gravity_size = 9.80665; // ISO 80000-3
constexpr double least_bend = 1 * degree, give_way = 0.01;
constexpr double limb_turn_scale = 0.1; // radians in one unit of a thigh, knee or foot variable
constexpr int most_lean_joints = 8;
constexpr double measurable = 150 * degree; // of a swing

Point point_at(const double* v) {
    return {v[0], v[1], v[2]};
}
double at(const Point& p, int i) {
    return i == 0 ? p.x : i == 1 ? p.y : p.z;
}

} // namespace

FullProblem::FullProblem(const Subject& subject, const own::Moment& m, const aplomb_reading& reading,
                         const own::Inside& inside)
    : bones_(subject.bones), inside_(inside), options_(m.options), unit_(subject.unit),
      leg_(bones_.info.leg_length * unit_), length_unit_(0.03 * leg_),
      keyed_(bones_.world(m.translations.data(), m.rotations.data())) {
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
    add_followers();
    if (inside_.reduction().has_level) add_level();
    add_variables(1, 1.0, {0, huge}); // the slack
    counts_.back() = 0;
    if (!left_out_.empty()) return;
    lump(m, reading);
    add_rows(reading);
    find_aim(m, reading);
    find_targets();
    residual_count_ = 2 + 2;
    for (const FixedLimb& limb : limbs_)
        residual_count_ += limb.holds ? 0 : 3;
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
    const aplomb::Carriage& asked = inside_.carriage;
    hips_sigma_ = {free(APLOMB_FREE_HIPS_FORE, o.hips_fore * leg_ * asked.hips_fore),
                   free(APLOMB_FREE_HIPS_SIDE, o.hips_side * leg_),
                   free(APLOMB_FREE_HIPS_HEIGHT, o.hips_height * leg_)};
    for (int a = 0; a < 3; ++a)
        add_variables(1, at(hips_sigma_, a), {-huge, huge});
    const double turn_sigma[] = {o.hips_turn * asked.pelvis_pitch, o.hips_turn,
                                 o.hips_turn * asked.pelvis_roll},
                 most_turns[] = {12 * degree, 10 * degree, 8 * degree};
    for (int a = 0; a < 3; ++a) {
        const double most_of_it = std::min(o.max_trunk, most_turns[a]);
        add_variables(1, free(APLOMB_FREE_HIPS_TURN, turn_sigma[a]), {-most_of_it, most_of_it});
    }
    Piece hips;
    hips.joint = bones_.info.hips;
    add_piece(hips);

    std::vector<int> spine;
    std::vector<Point> shares;
    for (int j = 0; j < bones_.info.joint_count; ++j) {
        if (joint(j).role != APLOMB_ROLE_SPINE) continue;
        spine.push_back(j), shares.push_back(point_at(joint(j).spine_share));
    }
    if (spine.size() > most_lean_joints) left_out_ = "a trunk of many joints";
    if (o.free & APLOMB_FREE_SPINE)
        add_lean(spine, shares, {o.trunk_fore * asked.spine_bend, o.trunk_twist, o.trunk_side});
    int chest = bones_.info.chest;
    while (chest >= 0 && owner(chest) < 0)
        chest = joint(chest).parent;
    chest_ = std::max(0, owner(chest));
}

/// A joint bends by 1.25 times its part of the trunk's bound at most, and within its limits.
void FullProblem::add_lean(const std::vector<int>& joints, const std::vector<Point>& shares,
                           const Point& whole) {
    for (size_t i = 0; i < joints.size(); ++i) {
        Piece piece;
        piece.kind = Piece::lean, piece.joint = joints[i], piece.variable = size();
        piece.before = from_neutral(joint(joints[i]).parent), piece.key = from_neutral(joints[i]);
        if (joint(joints[i]).parent < 0) piece.before = identity();
        piece.own_key = log_turn(transpose(piece.before) * piece.key);
        const double* limits = joint(joints[i]).limits;
        for (int a = 0; a < 3; ++a) {
            const double key = at(piece.own_key, a); // what is keyed outside stays, and goes no further
            const double share = at(shares[i], a), most_of_it = 1.25 * options_.max_trunk * share;
            add_variables(1, std::sqrt(share) * at(whole, a),
                          {std::max(-most_of_it, std::min(0.0, limits[2 * a] - key)),
                           std::min(most_of_it, std::max(0.0, limits[2 * a + 1] - key))});
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

FixedLimb FullProblem::begin_limb(int index, const Point& hinge) const {
    const aplomb_limb_info& limb = bones_.limbs[static_cast<size_t>(index)];
    FixedLimb fixed;
    fixed.limb = index;
    fixed.shape = make_limb_shape(place(limb.upper), place(limb.lower), place(limb.end),
                                  from_neutral(limb.upper) * hinge);
    const LimbShape& s = fixed.shape;
    const double* range = joint(limb.lower).limits;
    fixed.least_bend = least_bend;
    fixed.most_bend = std::max(s.bend, std::max(std::fabs(range[0]), std::fabs(range[1])));
    fixed.key = smooth_bend(std::min(norm(s.end - s.start), s.distance(least_bend)), s.length());
    fixed.start_parent = from_neutral(joint(limb.upper).parent), fixed.start = from_neutral(limb.upper);
    fixed.end_parent = from_neutral(joint(limb.end).parent), fixed.end = from_neutral(limb.end);
    return fixed;
}

/// Both spans, with their variables; returns the second one's piece.
int FullProblem::add_spans(FixedLimb& fixed) {
    const aplomb_limb_info& limb = bones_.limbs[static_cast<size_t>(fixed.limb)];
    Piece piece;
    piece.limb = static_cast<int>(limbs_.size()), piece.variable = fixed.variable = size();
    add_variables(3, limb_turn_scale, {-huge, huge});
    add_variables(1, limb_turn_scale, {fixed.least_bend, fixed.most_bend});
    std::fill(counts_.end() - 4, counts_.end(), char(0));
    piece.kind = Piece::first_span, piece.joint = limb.upper;
    const int first = add_piece(piece);
    fixed.link = pieces_[static_cast<size_t>(first)].parent;
    piece.kind = Piece::second_span, piece.joint = limb.lower, piece.parent = first, piece.variable += 3;
    return add_piece(piece);
}

void FullProblem::add_leg(const own::Moment& m, const aplomb_contact& contact) {
    const aplomb_limb_info& limb = bones_.limbs[static_cast<size_t>(contact.limb)];
    FixedLimb leg = begin_limb(contact.limb, {1, 0, 0});
    leg.bearing = contact.hold == APLOMB_BEARING, leg.bears = contact.bearing;
    leg.ride = inside_.carriage.ride[contact.limb], leg.wished = inside_.carriage.bend[contact.limb];
    const LimbShape& s = leg.shape;
    if (!leg.bearing) {
        leg.least_bend = s.bend_at(s.distance(least_bend) - give_way * s.length());
        if (s.bend < leg.least_bend) left_out_ = "a held foot at the end of its reach";
    } else if (std::fabs(norm(s.end - s.start) - s.distance(least_bend)) < 1e-9 * s.length()) {
        left_out_ = "a knee keyed at the very end of its reach"; // rounding says which way kappa is measured
    } else if (!(m.options.free & APLOMB_FREE_HIPS_HEIGHT) && s.bend < least_bend) {
        left_out_ = "a straight knee under hips that may not be lowered";
    }
    leg.start_limited = leg.end_limited = leg.bearing;
    for (const Turn& turn : {transpose(leg.start_parent) * leg.start, transpose(leg.end_parent) * leg.end}) {
        const Point bone = turn * Point{0, -1, 0};
        if (leg.bearing && std::acos(std::clamp(-bone.y, -1.0, 1.0)) > measurable)
            left_out_ = "a swing of nearly half a turn";
    }
    if (limb.kind == APLOMB_LEG && leg.bearing) {
        const Point shin = place(limb.lower) - s.end;
        const double toe_down = std::asin(std::clamp(-dot(leg.end * Point{0, 0, 1}, up_), 0.0, 1.0)),
                     keyed = std::atan2(dot(shin, fore_), dot(shin, up_));
        leg.shin_cap = std::max(25 * degree + toe_down, keyed + 3 * degree);
    }
    Piece piece;
    piece.parent = add_spans(leg);
    piece.kind = Piece::end, piece.joint = limb.end, piece.limb = static_cast<int>(limbs_.size());
    piece.variable = size();
    add_variables(3, limb_turn_scale, {-huge, huge});
    std::fill(counts_.end() - 3, counts_.end(), char(0));
    add_piece(piece);
    limbs_.push_back(leg);
}

namespace {

Point point_in(const aplomb::Vec3& v) {
    return {v.x, v.y, v.z};
}
Turn turn_in(const aplomb::Quat& q) {
    return turn_of(own::Turn(q.w, q.x, q.y, q.z).normalized().toRotationMatrix());
}

} // namespace

Between FullProblem::between(const aplomb::BodyPoint& point) const {
    const aplomb::Reduction& r = inside_.reduction();
    Between b;
    b.part = point.part;
    b.keyed = point_in(point.keyed) + point_in(inside_.key.ground.origin);
    if (point.limb >= 0) {
        const aplomb_limb_info& limb = bones_.limbs[static_cast<size_t>(r.limb[point.limb].limb)];
        b.piece[0] = owner(point.span == 0 ? limb.upper : limb.lower);
        b.piece[1] = owner(point.span == 0 ? limb.lower : limb.end);
        return b;
    }
    for (int k = 0; k < 2; ++k)
        b.piece[k] = owner(r.link[point.link[k]].joint), b.lever[k] = point_in(point.lever[k]);
    return b;
}

/// Neck, head, girdles, arms: which there are, and what each does on its own, is the library's.
void FullProblem::add_followers() {
    const aplomb::Reduction& r = inside_.reduction();
    for (int i = 0; i < r.follower_count; ++i) {
        const aplomb::Follower& f = r.follower[i];
        Piece piece;
        piece.kind = Piece::follower, piece.joint = f.joint;
        piece.keep = f.keep, piece.offer = turn_in(f.offer);
        for (int j = joint(f.joint).parent; j >= 0; j = joint(j).parent) {
            piece.link = owner(j);
            if (owner(j) >= 0 && pieces_[static_cast<size_t>(owner(j))].kind <= Piece::lean) break;
        }
        if (f.clear.side != 0) {
            const aplomb::Clearance& c = f.clear;
            piece.clear = static_cast<int>(hanging_.size());
            hanging_.push_back({c.side, c.hang, c.wanted, c.length, c.at_key, point_in(c.line),
                                point_in(c.ahead), between(c.leg)});
        }
        add_piece(piece);
    }
}

void FullProblem::add_level() {
    const aplomb::Reduction& r = inside_.reduction();
    const aplomb::LevelLoad& given = r.level;
    Piece piece;
    piece.kind = Piece::level, piece.parent = chest_;
    piece.pivot = point_in(inside_.carriage.level.centre);
    level_.drawn = point_in(given.place) + point_in(inside_.key.ground.origin) - piece.pivot;
    level_.piece = static_cast<int>(pieces_.size());
    level_.sink = given.sink, level_.smoothing = 0.012 * leg_;
    level_.axis = between(given.axis);
    for (int k = 0; k < given.obstacle_count; ++k)
        level_.obstacles.push_back({between(given.obstacle[k]), given.gap[k]});
    std::vector<double> keyed = {0};
    for (const auto& obstacle : level_.obstacles)
        keyed.push_back(-obstacle.second);
    level_.fore_at_key = ahead_of_body(keyed); // which is taken off from here on
    if (inside_.carriage.level.pull > 0) {
        level_.pull = size();
        add_variables(1, inside_.carriage.level.pull, {0, 0.3 * leg_});
    }
    pieces_.push_back(piece);
    for (int i = 0; i < r.limb_count; ++i) {
        if (r.limb[i].holds_load) add_arm(r.limb[i]);
    }
}

void FullProblem::add_arm(const aplomb::FixedLimb& holding) {
    const aplomb_limb_info& limb = bones_.limbs[static_cast<size_t>(holding.limb)];
    FixedLimb arm = begin_limb(holding.limb, point_in(inside_.figure.limbs[holding.limb].hinge));
    arm.holds = arm.start_limited = true;
    arm.grip = arm.shape.end - pieces_[static_cast<size_t>(level_.piece)].pivot;
    arm.ahead = from_neutral(bones_.info.chest) * Point{0, 0, 1};
    arm.elbow_outwards = holding.elbow.outwards;
    arm.elbow_limit = holding.elbow.limit, arm.elbow_at_key = holding.elbow.at_key;
    const Point bone = transpose(arm.start_parent) * arm.start * Point{0, -1, 0};
    if (std::acos(std::clamp(-bone.y, -1.0, 1.0)) > measurable) left_out_ = "a swing of nearly half a turn";
    add_spans(arm);
    owner_[static_cast<size_t>(limb.end)] = level_.piece; // the hand turns with the load
    limbs_.push_back(arm);
}

void FullProblem::lump(const own::Moment& m, const aplomb_reading& reading) {
    const auto add_to = [&](int index, double mass, const Point& centre) {
        if (index < 0) {
            still_moment_ = still_moment_ + (centre - origin_) * mass;
            return;
        }
        Piece& piece = pieces_[static_cast<size_t>(index)];
        piece.mass += mass, piece.moment = piece.moment + (centre - piece.pivot) * mass;
    };
    const auto add = [&](int j, double mass, const Point& centre) { add_to(owner(j), mass, centre); };
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
        if (level_.piece >= 0 && inside_.key.load[i].level)
            add_to(level_.piece, load.mass, point_at(reading.load_centre[i]) * unit_ - hang);
        else
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
    for (const FixedLimb& limb : limbs_)
        rows_.insert(rows_.end(), limb.holds ? 4 : 6, Range{0, 0});
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
    for (const FixedLimb& leg : limbs_) {
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

/// Aim point, and what of the way to it the hips answer, by how far the balance point follows them.
void FullProblem::find_aim(const own::Moment& m, const aplomb_reading& reading) {
    const Point aim = point_at(reading.rest_point) * unit_ - origin_;
    aim_[0] = dot(fore_, aim), aim_[1] = dot(left_, aim);
    middle_.assign(scale_.size(), 0.0);
    const double ways[2] = {inside_.aim.hips_way.fore, inside_.aim.hips_way.left};
    for (size_t a = 0; a < 2; ++a) {
        const double sigma = at(hips_sigma_, static_cast<int>(a));
        if (m.options.rest <= 0 || sigma <= 0) continue;
        kappa_[a] = std::max(0.5, slope_of_hips(static_cast<int>(a)));
        middle_[a] = ways[a] != 0 ? ways[a] / kappa_[a] / sigma : 0;
    }
}

/// What a load asks of hips, pelvis and spine; of the spine by shares, its ends against each other.
void FullProblem::find_targets() {
    const aplomb::Carriage& asked = inside_.carriage;
    for (int a = 0; a < 3; ++a) {
        middle_[static_cast<size_t>(a)] += asked.hips[a] / scale_[static_cast<size_t>(a)];
        middle_[static_cast<size_t>(3 + a)] += asked.pelvis[a] / scale_[static_cast<size_t>(3 + a)];
    }
    std::vector<size_t> spine;
    for (const Piece& piece : pieces_) {
        if (piece.kind == Piece::lean) spine.push_back(static_cast<size_t>(piece.variable));
    }
    double whole = 0;
    for (const size_t i : spine)
        whole += counts_[i + 2] * scale_[i + 2] * scale_[i + 2];
    for (const size_t i : spine) {
        if (counts_[i + 2]) middle_[i + 2] += asked.spine_side * scale_[i + 2] / whole;
    }
    if (spine.size() < 2) return;
    if (counts_[spine.back() + 2]) middle_[spine.back() + 2] += asked.curve / scale_[spine.back() + 2];
    if (counts_[spine.front() + 2]) middle_[spine.front() + 2] -= asked.curve / scale_[spine.front() + 2];
}

/// How far the balance point follows the keyed hips. A leg that is straight does not bend at once.
double FullProblem::slope_of_hips(int axis) const {
    const double step = 1e-7 * leg_;
    double point[2];
    for (int side = 0; side < 2; ++side) {
        std::vector<double> v(scale_.size(), 0.0);
        const double shift = side ? step : -step;
        v[static_cast<size_t>(axis)] = shift / scale_[static_cast<size_t>(axis)];
        Point stretched{0, 0, 0};
        for (const FixedLimb& leg : limbs_) {
            if (leg.holds) continue;
            const LimbShape& s = leg.shape;
            const bool straight = leg.bearing && norm(s.end - s.start) >= s.distance(least_bend);
            const Point begin = leg.link >= 0 ? s.start + (axis == 0 ? fore_ : left_) * shift : s.start;
            const Point end =
                straight ? begin + unit(s.end - begin) * s.distance(least_bend) : end_of(leg, begin);
            set_leg(leg, identity(), solve_limb(s, begin, end, straight ? least_bend : 0.0), identity(), v);
            for (const Piece& piece : pieces_) {
                if (straight && piece.kind == Piece::end && &limbs_[static_cast<size_t>(piece.limb)] == &leg)
                    stretched = stretched + (end - s.end) * piece.mass;
            }
        }
        set_arms(v);
        Placed<double> p = place_all(v.data());
        const Point moved = cross(up_, cross(stretched, gravity_)) * (1 / dot(up_, force_));
        point[side] = axis == 0 ? p.fore - dot(fore_, moved) : p.left - dot(left_, moved);
    }
    return (point[1] - point[0]) / (2 * step);
}

// ---- Settings of the variables ---------------------------------------------------------------------------

void FullProblem::set_leg(const FixedLimb& leg, const Turn& link, const SolvedLimb& solved, const Turn& end,
                          std::vector<double>& v) const {
    const Point thigh = log_turn(transpose(link) * solved.upper),
                foot = log_turn(transpose(solved.lower) * end);
    const double all[7] = {thigh.x, thigh.y, thigh.z, solved.bend, foot.x, foot.y, foot.z};
    for (size_t i = 0; i < (leg.holds ? 4 : 7); ++i)
        v[static_cast<size_t>(leg.variable) + i] = all[i] / limb_turn_scale;
}

std::vector<double> FullProblem::follow(std::vector<double> v) const {
    const Placed<double> p = place_all(v.data());
    for (size_t i = 0; i < pieces_.size(); ++i) {
        if (pieces_[i].kind != Piece::first_span) continue;
        const FixedLimb& leg = limbs_[static_cast<size_t>(pieces_[i].limb)];
        if (leg.holds) continue;
        set_leg(leg, p.turn[static_cast<size_t>(leg.link)],
                solve_limb(leg.shape, p.pivot[i], end_of(leg, p.pivot[i]), leg.least_bend), identity(), v);
    }
    set_arms(v);
    return v;
}

/// Arms follow the load that they hold; up to straight, so that a slope at their bound can be measured.
void FullProblem::set_arms(std::vector<double>& v) const {
    if (level_.piece < 0) return;
    const Placed<double> p = place_all(v.data());
    const size_t level = static_cast<size_t>(level_.piece), chest = static_cast<size_t>(chest_);
    for (size_t i = level + 1; i < pieces_.size(); ++i) {
        if (pieces_[i].kind != Piece::first_span) continue;
        const FixedLimb& arm = limbs_[static_cast<size_t>(pieces_[i].limb)];
        const Point wrist = p.pivot[level] + p.turn[level] * arm.grip;
        const double swivel = swivel_asked<double>(arm, p.pivot[i], wrist, p.turn[chest] * arm.ahead);
        set_leg(arm, p.turn[static_cast<size_t>(arm.link)],
                solve_limb(arm.shape, p.pivot[i], wrist, nearly_straight, swivel), identity(), v);
    }
}

/// How far a pose's load is drawn in, from where its hands are.
double FullProblem::pull_of(std::vector<double> v, const own::World& pose) const {
    const size_t level = static_cast<size_t>(level_.piece), pull = static_cast<size_t>(level_.pull);
    const auto arm = std::find_if(limbs_.begin(), limbs_.end(), [](const FixedLimb& l) { return l.holds; });
    const int hand = bones_.limbs[static_cast<size_t>(arm->limb)].end;
    const Point wrist = point_of(pose.place[static_cast<size_t>(hand)]) * unit_;
    double low = bounds_[pull].lowest, high = bounds_[pull].highest;
    for (int halving = 0; halving < 60; ++halving) {
        v[pull] = 0.5 * (low + high);
        const Placed<double> p = place_all(v.data());
        (dot(fore_, p.pivot[level] + p.turn[level] * arm->grip - wrist) > 0 ? low : high) = v[pull];
    }
    return v[pull];
}

std::vector<double> FullProblem::start(const Point& trunk) const {
    std::vector<double> v(scale_.size(), 0.0);
    for (size_t i = 0; i < 6; ++i)
        v[i] = std::clamp(middle_[i], bounds_[i].lowest, bounds_[i].highest);
    const double size = std::hypot(v[0] * scale_[0], v[1] * scale_[1]),
                 most = 0.98 * options_.max_hips * leg_;
    if (size > most) v[0] *= most / size, v[1] *= most / size;
    double count = 0;
    for (const Piece& piece : pieces_)
        count += piece.kind == Piece::lean;
    for (const Piece& piece : pieces_) {
        if (piece.kind != Piece::lean) continue;
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
    for (const FixedLimb& leg : limbs_) {
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
    if (level_.pull >= 0) v[static_cast<size_t>(level_.pull)] = pull_of(v, pose);
    return v;
}

bool FullProblem::held_feet_stayed(const own::World& keyed, const own::World& now) const {
    for (const FixedLimb& leg : limbs_) {
        const aplomb_limb_info& limb = bones_.limbs[static_cast<size_t>(leg.limb)];
        const size_t end = static_cast<size_t>(limb.end), start = static_cast<size_t>(limb.upper);
        if (leg.bearing || leg.holds) continue;
        const Point from = point_of(now.place[start]) * unit_, to = point_of(now.place[end]) * unit_;
        if (norm(end_of(leg, from) - to) > 1e-8 * leg_ ||
            own::angle_between(keyed.turn[end], now.turn[end]) > 1e-8)
            return false;
    }
    return true;
}

bool FullProblem::wrists_kept(const own::World& now) const {
    const auto since_key = [&](int j) {
        const size_t i = static_cast<size_t>(j);
        return turn_of((now.turn[i] * keyed_.turn[i].conjugate()).toRotationMatrix());
    };
    const Turn load =
        exp_turn<double>(up_ * dot(up_, log_turn(since_key(pieces_[static_cast<size_t>(chest_)].joint))));
    return std::all_of(limbs_.begin(), limbs_.end(), [&](const FixedLimb& arm) {
        if (!arm.holds) return true;
        const int hand = bones_.limbs[static_cast<size_t>(arm.limb)].end;
        return norm(log_turn(transpose(load) * since_key(hand))) < 1e-8;
    });
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
    std::vector<double> unit_of_end; // of each equality, legs first
    for (const bool arms : {false, true}) {
        for (const FixedLimb& limb : limbs_) {
            if (limb.holds != arms) continue;
            unit_of_end.insert(unit_of_end.end(), 3, length_unit_);
            unit_of_end.insert(unit_of_end.end(), arms ? 1 : 3, 10 * degree);
        }
    }
    const size_t ends = unit_of_end.size(), edges = ends + edges_.size();
    for (size_t i = 0; i < rows_.size(); ++i) {
        const double excess = std::max(rows_[i].lowest - row[i], row[i] - rows_[i].highest);
        if (i < ends)
            worst.ends = std::max(worst.ends, excess * unit_of_end[i]);
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
    for (const FixedLimb& leg : limbs_) {
        const double bend = v[static_cast<size_t>(leg.variable) + 3] * limb_turn_scale;
        worst.limits = std::max(worst.limits, leg.shape.distance(bend) - leg.shape.distance(leg.least_bend));
        if (bend < 0) worst.limits = std::max(worst.limits, -bend);
    }
    for (size_t i = 0; i + 1 < v.size(); ++i) {
        const bool knee = std::any_of(limbs_.begin(), limbs_.end(), [&](const FixedLimb& leg) {
            return static_cast<size_t>(leg.variable) + 3 == i;
        });
        const double excess = std::max(knee ? -1.0 : bounds_[i].lowest - v[i], v[i] - bounds_[i].highest);
        worst.limits = std::max(worst.limits, excess * scale_[i]);
    }
    return worst;
}

} // namespace full_space
