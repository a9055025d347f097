// SPDX-License-Identifier: MIT
// All constants: common practice, or by eye.
#include "suggest/foot.h"

#include <algorithm>
#include <cmath>
#include <initializer_list>

#include "suggest/stepped_pose.h"

namespace aplomb {
namespace {

// Of the leg's length, where nothing else is said.
constexpr double hips_sigma = 0.06; // of the hips' shift in the score
constexpr double unbalanced = 4;    // units of the score
constexpr double step_sigma = 0.25;
constexpr double width_sigma = 0.35;
constexpr double usual_width = 1.3; // hip widths
constexpr double drop_sigma = 0.06;
constexpr double knee_sigma = 35 * degree;
constexpr double longest_step = 0.36, deepest = 0.06;
constexpr double nearer = 0.01;
constexpr double narrowest = 0.75; // hip widths
constexpr double most_up = 25 * degree, most_down = 40 * degree, most_aside = 22 * degree;
constexpr double leads = 0.06;   // a foot ahead of the other by less does not lead
constexpr double as_much = 0.01; // of the weight: feet that bear the same but for it bear alike
constexpr double other_part = 1.15, other_more = 0.1; // what the second foot has to gain more
constexpr double first_steps[] = {0.08, 0.16, 0.24, 0.32};
constexpr double pattern_from = 0.06, pattern_to = 0.008;
constexpr double gain_said = 0.5;
constexpr double lean_said = 8 * degree, hips_said = 0.05;
constexpr double lean_gain = 2.5 * degree, hips_gain = 0.035;
constexpr double strained = 20 * degree, strain_part = 0.75; // such a lean counts by the cost that is left

/// How far the chest turns from upright by a correction's own controls.
double lean_of(const Correction& c) {
    const Vec3 up = rotate(exp_rotation(c.hips_turn) * exp_rotation(c.chest), {0, 1, 0});
    return arctan2(std::sqrt(up.x * up.x + up.z * up.z), up.y);
}

bool locks_a_knee(const Correction& c) {
    for (int k = 0; k < c.hold_back_count; ++k)
        if (c.hold_back[k].limb >= 0 && c.hold_back[k].row.kind == RowKind::reach) return true;
    return false;
}

struct Tried {
    bool allowed = false, locks = false;
    Vec2 way, pull; // of the foot; of the balance point before it was corrected
    aplomb_status status = APLOMB_OK;
    double score = 0, cost = 0, lean = 0, hips = 0, drop = 0;
};

class Search {
public:
    Search(const Figure& figure, const BodyPlan& plan, const PoseRoom& room, Key& s,
           const aplomb_options& options, Workbench& bench)
        : figure_(figure), plan_(plan), s_(s), bench_(bench), options_(options), leg_(figure.leg_length),
          pose_(figure, plan, room, s) {
        // The score is of the whole answer, and the same whatever the caller wants of it later.
        options_.amount = options_.amount_hips = options_.amount_spine = 1;
        options_.exact = options_.thorough = 0;
    }

    void go(FootSuggestion& found, Changed& changed) {
        if (!pose_.serves()) return;
        key_ = corrected(Vec2{}, Starts::as_needed);
        const double pulled = norm(key_.pull);
        if (pulled == 0 || (key_.lean < lean_said && key_.hips < hips_said * leg_)) return;
        towards_ = key_.pull * (1 / pulled);
        int first, second;
        choose_feet(first, second);
        Tried best = search(first);
        int foot = first;
        if (second >= 0) {
            const Tried other = search(second);
            const double needed = best.allowed ? other_part * gain(best) + other_more : 0.0;
            if (other.allowed && gain(other) > needed) best = other, foot = second;
        }
        // Candidates are compared by their first start; what is said is true of the whole correction.
        if (best.allowed) best = attempt(foot, best.way, Starts::as_needed);
        if (!is_worth_saying(best)) return pose_.take_back();
        pose_.list(changed);
        tell(best, foot, found);
    }

private:
    double gain(const Tried& t) const { return key_.score - t.score; }

    /// Corrects the key as it stands.
    Tried corrected(const Vec2& way, Starts starts) {
        Correction c;
        correct(figure_, plan_, s_, options_, bench_, c, starts);
        Tried t;
        t.way = way, t.pull = c.before - c.after, t.status = c.status, t.cost = c.objective;
        t.lean = lean_of(c), t.hips = norm(c.hips_shift);
        const double part = t.hips / (hips_sigma * leg_);
        t.score = c.objective + 0.5 * part * part + (c.status == APLOMB_OK ? 0 : unbalanced);
        t.locks = locks_a_knee(c);
        return t;
    }

    /// The foot on the side that the load pulls to; where neither is, the one that bears less without the load, then the left.
    void choose_feet(int& first, int& second) const {
        const Vec2 join = pose_.middle(1) - pose_.middle(0);
        const double ahead = dot(join, towards_);
        second = -1;
        if (std::fabs(ahead) > leads * leg_) return void(first = ahead > 0 ? 1 : 0);
        const double share = dot(s_.body_point - pose_.middle(0), join) / dot(join, join); // of foot 1
        first = pose_.limb(0).side == APLOMB_SIDE_LEFT ? 0 : 1;
        if (std::fabs(share - 0.5) > 0.5 * as_much) first = share > 0.5 ? 0 : 1;
        second = 1 - first;
    }

    Tried search(int foot) {
        Tried best;
        const auto take = [&](const Tried& t) {
            if (!t.allowed || (best.allowed && t.score >= best.score)) return false;
            best = t;
            return true;
        };
        const double half = 0.5, aside = 0.86602540378443865; // cosine and sine of 60 degrees
        const Vec2 across = {-towards_.left, towards_.fore};
        for (const Vec2& direction :
             {towards_, towards_ * half + across * aside, towards_ * half - across * aside})
            for (const double part : first_steps)
                take(attempt(foot, direction * (part * leg_)));
        if (!best.allowed) return best;
        for (double size = pattern_from; size > pattern_to;) {
            bool better = false;
            const Vec2 middle = best.way;
            for (const Vec2& by : {towards_, across, towards_ * -1, across * -1})
                better |= take(attempt(foot, middle + by * (size * leg_)));
            if (!better) size *= 0.5;
        }
        return best;
    }

    /// Of the left foot from the right one, to the left as the hips face.
    double breadth(int foot, const Vec2& way) const {
        const Vec2 moved = pose_.middle(foot) + way, stays = pose_.middle(1 - foot);
        const double apart = moved.left - stays.left;
        return pose_.limb(foot).side == APLOMB_SIDE_LEFT ? apart : -apart;
    }

    bool forbidden(int foot, const Vec2& way) const {
        const Vec2 zero;
        const double was = breadth(foot, zero), is = breadth(foot, way);
        if (norm(way) > longest_step * leg_) return true;
        if (is < std::min(was, narrowest * pose_.hip_width())) return true;
        const double before = norm(pose_.middle(foot) - pose_.middle(1 - foot));
        return norm(pose_.middle(foot) + way - pose_.middle(1 - foot)) < before - nearer * leg_;
    }

    Tried attempt(int foot, const Vec2& way, Starts starts = Starts::first) {
        Tried none;
        if (forbidden(foot, way)) return none;
        const StepMeasures was = pose_.keyed(foot), is = pose_.step(foot, way);
        if (!is.reaches || is.drop > deepest * leg_ || is.ankle_up > std::max(most_up, was.ankle_up) ||
            is.ankle_down > std::max(most_down, was.ankle_down) ||
            is.ankle_side > std::max(most_aside, was.ankle_side))
            return none;
        Tried t = corrected(way, starts);
        t.drop = is.drop;
        t.score += price(foot, way, was, is);
        const bool sound = t.status == APLOMB_OK || t.status == key_.status;
        t.allowed = sound && !(t.locks && !key_.locks) && t.lean <= key_.lean && t.hips <= key_.hips;
        return t;
    }

    double price(int foot, const Vec2& way, const StepMeasures& was, const StepMeasures& is) const {
        const auto square = [](double x) { return 0.5 * x * x; };
        const Vec2 o0 = pose_.from_neutral_place(foot), o1 = o0 + way;
        const double further = std::max(dot(o1, o1) - dot(o0, o0), 0.5 * dot(way, way));
        double sum = 0.5 * further / (step_sigma * step_sigma * leg_ * leg_);
        const double usual = std::max(usual_width * pose_.hip_width(), breadth(foot, Vec2{}));
        sum += square(std::max(0.0, breadth(foot, way) - usual) / (width_sigma * leg_));
        sum += square(is.drop / (drop_sigma * leg_));
        for (int k = 0; k < 2; ++k)
            sum += square(std::max(0.0, is.knee_bend[k] - was.knee_bend[k]) / knee_sigma);
        return sum;
    }

    bool is_worth_saying(const Tried& best) const {
        if (!best.allowed || best.locks || gain(best) <= gain_said) return false;
        const double less =
            (key_.lean - best.lean) / lean_gain + (key_.hips - best.hips) / (hips_gain * leg_);
        return less >= 1 || (key_.lean >= strained && best.cost <= strain_part * key_.cost);
    }

    void tell(const Tried& best, int foot, FootSuggestion& found) const {
        found.found = true;
        found.limb = s_.stance.contact[foot].limb;
        found.way = best.way;
        found.out = breadth(foot, best.way) - breadth(foot, Vec2{});
        found.drop = best.drop;
        found.lean[0] = key_.lean, found.lean[1] = best.lean;
        found.hips[0] = key_.hips, found.hips[1] = best.hips;
        Vec2 points[max_sole_points];
        const Contact& contact = s_.stance.contact[foot];
        for (int k = 0; k < contact.point_count; ++k)
            points[k] = s_.ground.project(contact.point[k]);
        const Area sole = convex_hull(points, contact.point_count);
        found.outline_count = sole.count;
        std::copy(sole.corner, sole.corner + sole.count, found.outline);
    }

    const Figure& figure_;
    const BodyPlan& plan_;
    Key& s_;
    Workbench& bench_;
    aplomb_options options_;
    const double leg_;
    SteppedPose pose_;
    Tried key_;
    Vec2 towards_; // which way the load pulls: on that side a foot helps
};

} // namespace

void suggest_foot(const Figure& figure, const BodyPlan& plan, const PoseRoom& room, Key& key,
                  const aplomb_options& options, Workbench& bench, FootSuggestion& suggestion,
                  Changed& changed) {
    Search(figure, plan, room, key, options, bench).go(suggestion, changed);
}

} // namespace aplomb
