// SPDX-License-Identifier: MIT
#include "clip/correct/range.h"

#include <algorithm>
#include <cmath>
#include <initializer_list>

#include "clip/correct/offers.h"

namespace aplomb {
namespace {

constexpr double smoothing = 0.15; // seconds, tau: by eye
// tau^2 over that of other variables, by eye: so that head, hands and knees keep within 1/150 of the leg and a walk's trunk within
// 2 degrees of its key. Bends to a side have less: a hasty walk would else sway with the hips what it now leans.
constexpr double more_of_bends = 3.8, more_of_side_bends = 1.6, more_of_height = 2;
constexpr double past_a_limit = 0.01; // metres or radians, by which a start may be past a limit
// Pelvis and spine turn against each other with each step and take little of the body's mass along: they follow in this part
// of the time in which the body swings. By eye: as slow as the body they hardly turn, and it tips as one board.
constexpr double within_the_trunk = 0.45;
constexpr double roundness = 24 * 24 / 400.0; // legs a second^2, by which a load makes room
constexpr int halvings = 4;

/// From variables in their own sigma to variables that are scaled alike in all frames.
Mat3 between(const Mat3& to, const Mat3& from, const double* sigma, const double* scale) {
    Mat3 m = transpose(to) * from;
    for (int i = 0; i < 3; ++i) {
        for (int j = 0; j < 3; ++j)
            m.row[i][j] *= scale[i] > 0 ? sigma[j] / scale[i] : 0;
    }
    return m;
}

Vec3 vec3(const double* v) {
    return {v[0], v[1], v[2]};
}

} // namespace

void Range::find_parts() {
    for (int i = 0; i < Reduction::first_block; ++i)
        motion_scale_[i] = scale_[i] / smoothed(i);
    for (int t = 0; t < count_; ++t) {
        Moment& f = frames_[t];
        std::fill_n(f.part, variables_, 0.0);
        for (int i = 0; i < f.problem->size(); ++i) {
            const int place = f.place_of[i];
            if (scale_[place] > 0) f.part[place] = smoothed(place) * f.reduction.sigma[i] / scale_[place];
        }
    }
}

/// (tau / smoothing)^2 of a variable at a shared place. What bends the trunk takes head and hands far along; hips that go up and
/// down, the knees.
double Range::smoothed(int place) const {
    if (place == 2) return more_of_height;
    if (place < Reduction::hips_turn || place >= swivel_base_) return 1;
    constexpr double of_turn[] = {more_of_bends, 1, more_of_side_bends}; // pitch, twist, roll
    return of_turn[place % 3];
}

void Range::lay_out(Layout& layout, const Figure& figure, int count, bool ring, bool swivels,
                    const Tasks& tasks) {
    const Room room = room_for(figure);
    const size_t frames = static_cast<size_t>(count), joints = static_cast<size_t>(figure.joint_count);
    count_ = count;
    swivel_base_ = static_cast<int>(room.variables) - figure.limb_count;
    pull_place_ = swivels ? static_cast<int>(room.variables) : swivel_base_;
    variables_ = pull_place_ + 1;
    offers_ = layout.take<double>(frames * offer_numbers);
    gaps_ = layout.take<double>(frames + 1);
    filter_.lay_out(layout, count, ring);
    quick_.lay_out(layout, count, ring);
    middles_ = layout.take<double>(frames * static_cast<size_t>(variables_));
    ways_home_ = layout.take<WaysHome>(frames);
    const ProblemSize size = size_for(room);
    tasks_ = tasks;
    for (int k = 0; k < tasks.count(count); ++k) {
        derivatives_[k].stride = static_cast<int>(size.variables);
        derivatives_[k].jacobian = layout.take<double>(size.residuals * size.variables);
        group_[k] = layout.take<int32_t>(joints);
    }
    frames_ = layout.take<Moment>(frames);
    Moment measured;
    for (int t = 0; t < count; ++t) {
        Moment& frame = frames_ ? frames_[t] : measured;
        frame.room.lay_out(layout, joints);
        frame.rows = layout.take<Row>(size.rows);
        frame.wrench = layout.take<Wrench>(room.links);
        frame.reduction.link = layout.take<Link>(room.links);
        frame.reduction.follower = layout.take<Follower>(room.followers);
        frame.reduction.limb = layout.take<FixedLimb>(room.limbs);
        frame.at.lay_out(layout, room);
        frame.kept = layout.take<double>(size.variables);
        frame.way_gradient = layout.take<double>(2 * size.variables);
        frame.point_gradient = layout.take<double>(2 * size.variables);
        frame.near_row = layout.take<double>(max_near_rows * size.variables);
    }
}

void Range::set_up(const Figure& figure, const aplomb_options& options, const Grid& grid,
                   const Swing* swing) {
    grid_ = grid;
    rests_ = options.rest > 0;
    double cells = 0;
    for (int t = 0; t < count_; ++t)
        cells += grid_.cell(t, frames_[t].sway);
    rate_ = count_ / cells;
    std::fill_n(scale_, most_places, 0.0);
    std::fill_n(middles_, static_cast<size_t>(count_) * static_cast<size_t>(variables_), 0.0);
    filter_.set_up(grid_, swing);
    quick_.set_up(grid_, swing, within_the_trunk);
    offer_smoothly();
    tasks_.each(count_, [&](int task, int first, int end) {
        for (int t = first; t < end; ++t) {
            Moment& f = frames_[t];
            f.stiffness = make_stiffness(figure, options, f.carriage);
            reduce(figure, f.key, f.stiffness, f.carriage, group_[task], f.reduction);
        }
    });
    round_gaps(figure.leg_length * roundness);
    tasks_.each(count_, [&](int, int first, int end) {
        for (int t = first; t < end; ++t)
            set_up(figure, options, t);
    });
    for (int t = 0; t < count_; ++t) {
        const Moment& f = frames_[t];
        for (int i = 0; i < f.problem->size(); ++i)
            scale_[f.place_of[i]] = std::max(scale_[f.place_of[i]], f.reduction.sigma[i]);
    }
    find_parts();
    ask_smoothly();
}

/// A thigh that comes up to a level load and goes again pushes it away: the load makes room in time. The keyed gap of each moment
/// is opened by no more than a parabola from every other one.
void Range::round_gaps(double curvature) {
    double* gap = offers_; // a line that is free once all offers are given
    for (int k = 0; k < max_obstacles; ++k) {
        const auto has = [&](int t) {
            return frames_[t].reduction.has_level && k < frames_[t].reduction.level.obstacle_count;
        };
        for (int t = 0; t < count_; ++t) {
            if (!has(t)) continue;
            double least = frames_[t].reduction.level.gap[k];
            for (const int step : {-1, 1}) {
                double seconds = 0;
                for (int s = t;;) {
                    seconds += grid_.gap[s + (step > 0)];
                    s = step < 0 ? grid_.before(s) : grid_.after(s);
                    const double room = curvature * seconds * seconds / 2;
                    if (s < 0 || s == t || room >= least || !has(s)) break;
                    least = std::min(least, frames_[s].reduction.level.gap[k] + room);
                }
            }
            gap[t] = least;
        }
        for (int t = 0; t < count_; ++t)
            if (has(t)) frames_[t].reduction.level.gap[k] = gap[t];
    }
    for (int t = 0; t < count_; ++t)
        if (frames_[t].reduction.has_level) find_fore_at_key(frames_[t].reduction.level);
}

void Range::set_up(const Figure& figure, const aplomb_options& options, int t) {
    aplomb_options in_the_air = options;
    in_the_air.rest = 0;
    Moment& f = frames_[t];
    const Ground& g = f.key.ground;
    f.weight = grid_.cell(t, f.sway) * rate_;
    f.model.make(f.key, f.reduction);
    f.problem.make(
        TermInput{f.bears ? options : in_the_air, figure, *f.model, f.stiffness, f.carriage, f.aim},
        f.support.bounds, f.rows, f.wrench);
    f.problem->find_start(f.at);
    f.shift_axes = Mat3::from_columns(g.fore, g.left, g.normal);
    f.turn_axes = to_matrix(f.key.body.hips_from_neutral);
    for (int i = 0; i < f.problem->size(); ++i)
        f.place_of[i] = static_cast<int8_t>(i);
    for (int k = 0; k < f.reduction.limb_count; ++k) {
        const FixedLimb& limb = f.reduction.limb[k];
        if (limb.swivel >= 0) f.place_of[limb.swivel] = static_cast<int8_t>(swivel_base_ + limb.limb);
    }
    if (f.reduction.has_level && f.reduction.level.pull >= 0)
        f.place_of[f.reduction.level.pull] = static_cast<int8_t>(pull_place_);
    std::fill_n(f.has, variables_, false);
    for (int i = 0; i < f.problem->size(); ++i)
        f.has[f.place_of[i]] = true;
    const Vec3 keyed = first_moment_of(f.key) / f.key.pressing.mass;
    f.keyed_centre = {dot(g.fore, keyed), dot(g.left, keyed)};
    f.given = {};
}

void Range::start_within() {
    for (int t = 0; t < count_; ++t)
        frames_[t].problem->start(frames_[t].at.y);
    for (int halving = 0; halving <= halvings; ++halving) {
        evaluate();
        double worst = 0;
        for (int t = 0; t < count_; ++t)
            worst = std::max(worst, frames_[t].problem->hard_violation(frames_[t].at));
        if (worst <= past_a_limit) return;
        for (int t = 0; t < count_; ++t) {
            Moment& f = frames_[t];
            if (halving == halvings) f.problem->key(f.at.y);
            for (int i = 0; halving < halvings && i < f.problem->size(); ++i)
                f.at.y[i] *= 0.5;
        }
    }
}

void Range::put_back() {
    for (int t = 0; t < count_; ++t) {
        std::fill_n(frames_[t].at.y, frames_[t].problem->size(), 0.0);
        scale_offers(frames_[t].reduction, 0);
    }
    evaluate();
}

void Range::offer_smoothly() {
    for (int t = 0; t < count_; ++t)
        take_offers(frames_[t].carriage, offers_ + t * offer_numbers);
    for (int i = 0; i < offer_numbers; ++i)
        filter_.run(offers_ + i, offer_numbers);
    for (int t = 0; t < count_; ++t)
        give_offers(offers_ + t * offer_numbers, frames_[t].carriage);
}

/// Ways on the ground to a moment's home: from where the balance point is without loads, from where it is with them, and from
/// the point between the two that is nearest, which is what the hips answer.
void Range::find_ways_home(const Moment& f, WaysHome& to) const {
    const auto way = [&](double* out, const Vec2& from) {
        const Vec2 v = f.aim.home - from;
        put(out, f.key.ground.fore * v.fore + f.key.ground.left * v.left);
    };
    way(to.number, f.aim.own_point), way(to.number + 3, f.key.balance_point), way(to.number + 6, f.aim.q);
    to.number[9] = rests_ ? f.aim.phi : 0;
}

/// What the hips answer changes once body and load are seen as slowly as the body follows. A balance point in motion that rides
/// outwards of one foot and then of the other is nothing to answer in the mean; but with a load at one side the nearest point of
/// each moment is out at the other side alone, and the hips would take what is the load's and so the trunk's to answer.
Vec3 Range::support_answer(int t) const {
    const double* n = ways_home_[t].number;
    const Vec3 own = vec3(n), loads = vec3(n + 3) - own;
    const double length2 = dot(loads, loads);
    const double part = length2 > 0 ? std::clamp(-dot(own, loads) / length2, 0.0, 1.0) : 0;
    return (own + loads * part - vec3(n + 6)) * n[9];
}

/// Filters what each moment by itself asks of its variables; the solve starts there.
void Range::ask_smoothly() {
    for (int t = 0; t < count_; ++t) {
        const Moment& f = frames_[t];
        double* to = middles_ + t * variables_;
        for (int i = 0; i < f.problem->size(); ++i)
            to[f.place_of[i]] = f.problem->middle()[i] * f.reduction.sigma[i];
        find_ways_home(f, ways_home_[t]);
        put(to, f.shift_axes * vec3(to));
        put(to + 3, f.turn_axes * vec3(to + 3));
    }
    for (int i = 0; i < variables_; ++i) {
        const bool within = i >= Reduction::hips_turn && i < swivel_base_;
        for (int round = 0; round < (within ? 2 : 1); ++round) // twice: then no acceleration jumps
            (within ? quick_ : filter_).run(middles_ + i, variables_);
    }
    for (int i = 0; i < WaysHome::numbers; ++i)
        filter_.run(ways_home_[0].number + i, WaysHome::numbers);
    for (int t = 0; t < count_; ++t) {
        Moment& f = frames_[t];
        double* from = middles_ + t * variables_;
        put(from, vec3(from) + support_answer(t));
        put(from, transposed_times(f.shift_axes, vec3(from)));
        put(from + 3, transposed_times(f.turn_axes, vec3(from + 3)));
        double y[max_variables];
        for (int i = 0; i < f.problem->size(); ++i)
            y[i] = f.reduction.sigma[i] > 0 ? from[f.place_of[i]] / f.reduction.sigma[i] : 0;
        f.problem->set_middle(y);
        f.problem->start(f.at.y);
    }
}

void Range::gather(const Moment& frame, const double* own, double* to) const {
    std::fill_n(to, variables_, 0.0);
    for (int i = 0; i < frame.problem->size(); ++i)
        to[frame.place_of[i]] = own[i];
}

// ---- Values --------------------------------------------------------------------------------------------------

/// Axes that all frames share are those of the first frame's ground.
Vec2 Range::shared(const Moment& frame, const Vec2& own) const {
    const Ground &g = frame.key.ground, &first = frames_[0].key.ground;
    const Vec3 v = g.fore * own.fore + g.left * own.left;
    return {dot(first.fore, v), dot(first.left, v)};
}
Vec2 Range::owned(const Moment& frame, const Vec2& shared) const {
    const Ground &g = frame.key.ground, &first = frames_[0].key.ground;
    const Vec3 v = first.fore * shared.fore + first.left * shared.left;
    return {dot(g.fore, v), dot(g.left, v)};
}

bool Range::evaluate() {
    bool finite[Tasks::most];
    std::fill_n(finite, Tasks::most, true);
    tasks_.each(count_, [&](int task, int first, int end) {
        for (int t = first; t < end; ++t)
            if (!evaluate(frames_[t])) finite[task] = false;
    });
    tasks_.each(count_, [&](int, int first, int end) {
        for (int t = first; t < end; ++t)
            find_moved(t);
    });
    return std::all_of(finite, finite + Tasks::most, [](bool good) { return good; });
}

bool Range::evaluate(Moment& f) {
    f.problem->evaluate(f.at);
    const Ground& g = f.key.ground;
    const Vec3 centre = f.at.state.first_moment / f.key.pressing.mass;
    const Vec2 now = Vec2{dot(g.fore, centre), dot(g.left, centre)};
    f.way = shared(f, now - f.keyed_centre + f.given);
    return std::isfinite(f.at.objective) && f.at.limits_short < 1e5;
}

void Range::find_moved(int t) {
    Moment& f = frames_[t];
    const Grid::Second d = grid_.second(t, f.sway);
    Vec2 second = f.way * d.own;
    if (grid_.before(t) >= 0) second = second + frames_[grid_.before(t)].way * d.before;
    if (grid_.after(t) >= 0) second = second + frames_[grid_.after(t)].way * d.after;
    f.moved = owned(f, second) * -f.sway;
}

double Range::edge(const Moment& f, int row) const {
    const Row& r = f.problem->row(row);
    return f.at.row[row] - dot(f.support.bounds.normal[r.index], f.moved) * r.rate;
}

double Range::short_of(const Moment& f) const {
    double most = 0;
    for (int i = 0; i < f.support.bounds.count; ++i)
        most = std::max(most, -edge(f, i));
    return most;
}

double Range::cost() const {
    double sum = 0;
    for (int t = 0; t < count_; ++t) {
        const Moment& f = frames_[t];
        sum += f.weight * (f.at.objective + f.problem->support_price() * short_of(f));
    }
    return sum + cost_of_motion();
}

double Range::cost_of_motion() const {
    double sum = 0;
    double second[most_places];
    for (int t = -1; t <= count_; ++t) {
        const Ties all = ties(t);
        if (all.count == 0) continue;
        second_difference(all, second);
        double square = 0;
        for (int i = 0; i < variables_; ++i)
            square += second[i] * second[i];
        sum += all.cell * square / 2;
    }
    return sum;
}

// ---- Motion --------------------------------------------------------------------------------------------------

Range::Ties Range::ties(int t) const {
    Ties all;
    double h, k; // gaps before and after
    int at[3];
    if (t < 0 || t == count_) { // beyond a still end: it is tied to the first or last frame alone
        if (!(t < 0 ? grid_.still_before : grid_.still_after)) return all;
        h = k = t < 0 ? gaps_[0] : gaps_[count_];
        at[0] = t < 0 ? -1 : count_ - 1, at[1] = -1, at[2] = t < 0 ? 0 : -1;
    } else {
        if (!grid_.has_second(t)) return all;
        h = gaps_[t], k = gaps_[t + 1];
        at[0] = grid_.before(t), at[1] = t, at[2] = grid_.after(t);
    }
    const double weight[3] = {2 / (h * (h + k)), -2 / (h * k), 2 / (k * (h + k))};
    const double tau2 = smoothing * smoothing;
    all.cell = (h + k) / 2 * rate_ * tau2 * tau2;
    const Moment& own = frames_[std::clamp(t, 0, count_ - 1)];
    for (int n = 0; n < 3; ++n) {
        if (at[n] < 0) continue;
        const Moment& other = frames_[at[n]];
        const double* sigma = other.reduction.sigma;
        all.tie[all.count++] = {
            at[n], weight[n], between(own.shift_axes, other.shift_axes, sigma, motion_scale_),
            between(own.turn_axes, other.turn_axes, sigma + 3, motion_scale_ + 3), other.part};
    }
    return all;
}

void Range::second_difference(const Ties& all, double* out) const {
    std::fill_n(out, variables_, 0.0);
    for (int n = 0; n < all.count; ++n) {
        const Tie& tie = all.tie[n];
        const Moment& f = frames_[tie.frame];
        double y[most_places];
        gather(f, f.at.y, y);
        put(y, tie.shift * vec3(y));
        put(y + 3, tie.turn * vec3(y + 3));
        for (int i = 0; i < variables_; ++i)
            out[i] += tie.weight * (i < 6 ? 1 : tie.part[i]) * y[i];
    }
}

// ---- Derivatives ---------------------------------------------------------------------------------------------

Derivatives& Range::differentiate(int task, int t, double window) {
    Moment& f = frames_[t];
    Derivatives& d = derivatives_[task];
    d.near_row = f.near_row;
    f.problem->differentiate(f.at, d, window);
    f.near_count = d.near_count;
    std::copy_n(d.near_index, d.near_count, f.near_index);
    const int n = f.problem->size();
    const Ground& first = frames_[0].key.ground;
    const double mass = f.key.pressing.mass;
    for (int k = 0; k < 2; ++k) {
        std::copy_n(d.aside[k], n, f.point_gradient + k * d.stride);
        f.problem->first_moment_gradient(f.at, (k == 0 ? first.fore : first.left) / mass,
                                         f.way_gradient + k * d.stride);
    }
    return d;
}

} // namespace aplomb
