// SPDX-License-Identifier: MIT
#include "step/loop.h"

#include <algorithm>
#include <cmath>
#include <initializer_list>

#include "step/arms.h"
#include "step/stance.h"
#include "support/standing.h"

namespace aplomb {
namespace {

// Iterations in a first frame; of a start afresh later on, or where answers are not trusted; and from a sound answer on, which the
// next frame takes further. With the four, at heft 0, 181 of 1,556 frames of stretched arms under 15 kg were dearer by 1 % than after
// 16 from a start afresh, 72 cheaper; of 5,000 others ten and nine.
constexpr int most_at_first = 8, most_afresh = 5, most_in_passing = 4;
constexpr int most_before_doubt = 2;     // more, where the answer would be the first that is not sound
constexpr double good_answer = 8;        // an answer that costs more is doubted
constexpr double weight_of_limits = 10;  // as a descent begins with
constexpr double sound_violation = 1e-3; // metres or radians
constexpr double sound_slack = 0.06;     // of the leg's length
constexpr double at_rest = 1e-9;         // metres
constexpr double no_correction = 1e-7;   // metres or radians, and per second: as good as none
constexpr double near_margin = 0.0022;   // of the leg's length: a margin that is short by less is reached
constexpr double gave_way = 1e-6;        // metres or radians: a hold that moved by less has kept
constexpr double short_of = 1e-6;        // metres of slack: out of reach
// Seconds.
constexpr double trust_falls = 0.3, trust_rises = 0.6;
constexpr double flight_keeps = 0.25, flight_fades = 0.3;
constexpr double smooth_travel = 0.1;
constexpr double most_outward = 0.3; // of the leg's length: support's edges move out so far in motion
constexpr double most_carry = 1.5;   // of the hips' way: a straight knee's derivative says more
constexpr double least_height = 0.1; // of the leg's length: of the centre of mass, for its time constant

struct Loop {
    const Step& step;
    Key& s;
    Workbench& bench;
    StepMemory& m;
    Correction& c;
    Aim asked; // what the answer aims at

    const Figure& figure() const { return step.figure; }
    bool moves_on() const { return step.clock.anew || step.clock.seconds > 0; }
    bool flies() const { return s.stance.contact_count == 0; }

    void go() {
        c.other_objective = std::nan("");
        c.before = c.after = s.balance_point;
        if (!flies() || step.clock.anew) m.height = s.ground.height(m.centre);
        m.height = std::max(m.height, least_height * figure().leg_length);
        const Need now = find_need();
        const double behind = 2.0 * follower_seconds * step.clock.scale;
        const Need wanted = filter_need(step.clock, s.ground, felt(now), step.ahead, step.landed, behind, m);
        if (!flies()) m.kept = m.lag;
        aim_at(wanted, now);
        const Carriage carriage = carriage_of(wanted);
        const Stiffness stiffness = make_stiffness(figure(), step.options, carriage);
        const bool home = is_home() && !carriage.asks;
        if (home && is_still_key()) {
            m.sound = Followed{};
            regain(true);
            return stay_keyed();
        }
        reduce(figure(), s, stiffness, carriage, bench.group, bench.reduction);
        const Model model(s, bench.reduction);
        PoseProblem problem({step.options, figure(), model, stiffness, carriage, asked}, c.support.bounds,
                            bench.rows, bench.wrench);
        fit_count();
        Answer answer;
        if (!home) solve(problem, answer);
        const bool sound = home || is_sound(answer);
        const Followed before = trusted(),
                       found = sound && !home ? numbers_of(whole(*answer.at).state) : Followed{};
        regain(sound);
        if (sound && moves_on()) m.sound = found;
        if (moves_on()) remember_carry(answer, sound && !home);
        const Followed target = trusted();
        const Vec3 hips = vec(m.is.at);
        follow(step.clock, step.stride, before, target, m);
        if (home && is_nearly_key()) {
            m.is = m.speed = m.sound = Followed{};
            return stay_keyed();
        }
        Evaluation& e = bench.evaluation[1];
        place(model, e.state);
        if (lower_hips(hips, e.state)) place(model, e.state);
        if (move_feet(e.state)) place(model, e.state);
        read_arms(figure(), bench.reduction, e.state, m);
        write(model, e.state);
        judge(sound, target);
        if (!is_measured()) return give_up();
        if (step.told) tell(problem, answer, home, e);
    }

    /// What a load does to a body beside moving its balance point, as far as it has come. Feet ride by the loop's own rule.
    Carriage carriage_of(const Need& wanted) {
        aplomb_options options = step.options;
        options.heft = heft();
        options.hip_drop *= 1.0 - motion_of(step.clock, m); // a body that walks drops its hips by itself
        Aim filtered = asked;
        if (step.options.rest > 0) filtered.countered = s.balance_point + level(wanted.aim - wanted.hips);
        Carriage carriage = make_carriage(figure(), step.plan, s, filtered, options);
        std::fill(carriage.ride, carriage.ride + max_limbs, 0.0);
        follow_arms(figure(), s, step.clock, step.stride, options.amount, carriage, m);
        return carriage;
    }
    double heft() const { return heft_of(figure(), s, step.options.heft); }
    Vec2 level(const Vec3& way) const { return {dot(way, s.ground.fore), dot(way, s.ground.left)}; }

    // ---- Need ----

    Need find_need() {
        if (flies()) {
            m.in_flight += step.clock.seconds;
            const double faded = (m.in_flight / step.clock.scale - flight_keeps) / flight_fades;
            const double kept = 1.0 - smooth_step(faded);
            return m.need = {m.kept.aim * kept, m.kept.hips * kept};
        }
        m.in_flight = 0;
        c.support = make_support(figure(), s, step.options.margin);
        if (step.swing.fore != 0 || step.swing.left != 0)
            c.support.margin = margin_of(c.support.area, s.balance_point + step.swing);
        c.margin_after = c.support.margin;
        c.aim = make_aim(figure(), step.plan, s, c.support, heft(), travel_of(step.clock, m, s.ground));
        m.need = step.options.rest == 0 ? Need{} : need_of(figure(), step.clock, m, m.velocity, s, c.aim);
        return m.need;
    }

    /// After a flight a need comes with the weight on the feet.
    Need felt(const Need& now) const {
        if (flies()) return now;
        double bears = 0;
        for (const FootMemory& foot : m.foot)
            bears = std::max({bears, foot.part[0].ramp, foot.part[1].ramp});
        for (const PatchMemory& patch : m.patch)
            bears = std::max(bears, patch.ramp);
        const double part = smooth_step(bears);
        return {m.lag.aim + (now.aim - m.lag.aim) * part, m.lag.hips + (now.hips - m.lag.hips) * part};
    }

    bool anybody_stands() const {
        for (const FootMemory& foot : m.foot)
            if (foot.standing > 0) return true;
        return std::any_of(
            s.stance.contact, s.stance.contact + s.stance.contact_count,
            [&](const Contact& one) { return one.limb < 0 || !is_foot(figure().limbs[one.limb]); });
    }

    void aim_at(const Need& wanted, const Need& now) {
        asked = c.aim;
        asked.rest_point = s.balance_point + level(wanted.aim);
        asked.hips_way = level(wanted.hips);
        c.aim.rest_point = asked.rest_point;
        const Vec2 late = level(now.aim - wanted.aim);
        const double outward = most_outward * figure().leg_length * motion_of(step.clock, m);
        HalfPlanes& edges = c.support.bounds;
        // Prints alone are left behind, and a first frame may be one of a run.
        if (!anybody_stands() || is_motion_unknown(step.clock, m)) edges.count = 0;
        const Travel travel = travel_of(step.clock, m, s.ground); // along which nothing is asked for
        for (int i = 0; i < edges.count; ++i) {
            const double along = travel.part * std::fabs(dot(edges.normal[i], travel.direction));
            edges.bound[i] += outward * (1.0 + along) - dot(edges.normal[i], late + step.swing);
        }
    }

    bool is_home() const {
        if (norm(asked.rest_point - s.balance_point) >= at_rest || norm(asked.hips_way) >= at_rest)
            return false;
        for (int i = 0; i < c.support.bounds.count; ++i)
            if (dot(c.support.bounds.normal[i], s.balance_point) > c.support.bounds.bound[i]) return false;
        return true;
    }

    // ---- Answer ----

    void solve(PoseProblem& problem, Answer& answer) {
        problem.find_middle(problem.asks_hips() ? carry_of_hips(problem) : Vec2{});
        bench.descent.begin(&bench.evaluation[2]);
        if (step.clock.anew || m.trust <= 0)
            descend_afresh(problem, answer);
        else
            go_on(problem, answer);
        problem.settle_reach(*answer.at);
        c.violation = answer.violation = problem.hard_violation(*answer.at);
        c.slack = answer.slack = problem.support_violation(*answer.at);
        c.objective = problem.cost(*answer.at);
        c.stationarity = answer.stationarity, c.complementarity = answer.complementarity;
    }

    /// How far the balance point follows the hips: of a body that stays as the keyed pose has it, as the still answer is; in
    /// motion as the last frame's derivatives had it, which are there.
    Vec2 carry_of_hips(const PoseProblem& problem) const {
        const bool moves = motion_of(step.clock, m) > 0;
        if (moves && m.carry[0] > 0 && m.carry[1] > 0) return {m.carry[0], m.carry[1]};
        return problem.find_carry(bench.evaluation[0]);
    }
    void remember_carry(const Answer& answer, bool is_good) {
        for (int i = 0; i < 2; ++i) {
            const double sigma = is_good ? bench.reduction.sigma[i] : 0.0;
            const double carry = sigma > 0 ? answer.aside[i][i] / sigma : 0.0;
            m.carry[i] = carry <= most_carry ? std::max(carry, 0.0) : 0.0;
        }
    }

    /// From where the last sound answer was, which is all but always the better start. One that costs much may be caught, so
    /// now and then a start afresh tries to beat it.
    void go_on(PoseProblem& problem, Answer& answer) {
        Point& last = bench.evaluation[1];
        find_last(problem, last.y);
        problem.evaluate(last);
        problem.settle_reach(last);
        const auto cost = [&](const Point& point) {
            return problem.cost(point) + weight_of_limits * point.limits_short;
        };
        const bool doubted = !(cost(last) < good_answer), try_afresh = doubted && m.doubt == 0;
        if (moves_on()) m.doubt = try_afresh ? frames_between_trials : doubted ? m.doubt - 1 : 0;
        if (try_afresh) {
            descend_afresh(problem, answer);
            if (cost(*answer.at) <= cost(last)) return;
        }
        answer.at = &last;
        descend(problem, last.y, m.trust < 1 ? most_afresh : most_in_passing, true, answer);
        ++c.starts;
        if (m.trust < 1 || problem.hard_violation(*answer.at) <= sound_violation) return;
        double end[max_variables];
        std::copy(answer.at->y, answer.at->y + problem.size(), end);
        descend(problem, end, most_before_doubt, true, answer);
    }

    void descend_afresh(PoseProblem& problem, Answer& answer) {
        const bool measured = problem.fit_start(bench.evaluation[0]);
        double start[max_variables];
        problem.start(start);
        answer.at = &bench.evaluation[0];
        descend(problem, start, step.clock.anew ? most_at_first : most_afresh, measured, answer);
        ++c.starts;
    }

    void descend(const PoseProblem& problem, const double* start, int most, bool measured, Answer& answer) {
        Effort effort{false, std::min(most, step.options.max_iterations)};
        effort.goes_on = !step.clock.anew;
        effort.measured = measured;
        bench.descent.run(problem, effort, start, answer);
        c.iterations += answer.iterations;
    }

    void find_last(const PoseProblem& problem, double* y) const {
        const Reduction& r = bench.reduction;
        const double amount = step.options.amount, hips = amount * step.options.amount_hips,
                     spine = amount * step.options.amount_spine;
        double x[max_variables] = {};
        put_hips(m.sound, x);
        std::copy(m.sound.at + Reduction::first_block, m.sound.at + count(), x + Reduction::first_block);
        if (pull() >= 0) x[pull()] = m.sound.at[pull_number];
        for (int i = 0; i < problem.size(); ++i) {
            const double shown = i < Reduction::first_block ? hips : i < count() ? spine : amount;
            y[i] = r.sigma[i] > 0 && shown > 0 ? x[i] / (shown * r.sigma[i]) : 0.0;
            y[i] = std::clamp(y[i], problem.lowest()[i], problem.highest()[i]);
        }
    }

    bool is_sound(const Answer& answer) const {
        if (!(c.violation <= sound_violation && c.slack <= sound_slack * figure().leg_length)) return false;
        const Followed found = numbers_of(whole(*answer.at).state);
        double sum = 0;
        for (const double number : found.at)
            sum += std::fabs(number);
        return sum < 100; // false for NaN
    }

    /// Hips in world axes, as headings jump; times the amounts.
    Followed numbers_of(const ModelState& state) const {
        const Reduction& r = bench.reduction;
        const aplomb_options& o = step.options;
        const Ground& g = s.ground;
        Followed out;
        const double hips = o.amount * o.amount_hips;
        put(out.at, (g.fore * state.x[0] + g.left * state.x[1] + g.normal * state.x[2]) * hips);
        put(out.at + 3, rotate(r.link[0].before, Vec3{state.x[3], state.x[4], state.x[5]}) * hips);
        for (int i = Reduction::first_block; i < count(); ++i)
            out.at[i] = state.x[i] * o.amount * o.amount_spine;
        if (pull() >= 0) out.at[pull_number] = state.x[pull()] * o.amount;
        return out;
    }

    /// From world axes to those of the variables.
    void put_hips(const Followed& from, double* x) const {
        const Vec3 shift = vec(from.at);
        x[0] = dot(shift, s.ground.fore), x[1] = dot(shift, s.ground.left),
        x[2] = dot(shift, s.ground.normal);
        put(x + 3, rotate(conjugate(bench.reduction.link[0].before), vec(from.at + 3)));
    }

    /// The variable by which a level load is drawn in, or -1.
    int pull() const { return bench.reduction.has_level ? bench.reduction.level.pull : -1; }
    int count() const { return bench.reduction.block_variable(bench.reduction.block_count); }

    /// The set of free joints differs from the last frame's, so nothing is known of the lean joints.
    void fit_count() {
        if (static_cast<int>(m.count) == count()) return;
        m.count = count();
        for (Followed* one : {&m.is, &m.speed, &m.sound})
            std::fill(one->at + Reduction::first_block, one->at + first_arm, 0.0);
    }

    void regain(bool sound) {
        const double change = sound ? step.clock.part(trust_rises) : -step.clock.part(trust_falls);
        m.trust = step.clock.anew ? (sound ? 1.0 : 0.0) : std::clamp(m.trust + change, 0.0, 1.0);
    }

    /// Of the last sound answer what is trusted.
    Followed trusted() const {
        Followed target;
        for (int i = 0; i < most_followed; ++i)
            target.at[i] = m.sound.at[i] * m.trust;
        return target;
    }

    // ---- The way ----

    bool is_still_key() const {
        const auto zero = [](double number) { return number == 0; };
        const Followed target = trusted();
        return std::all_of(std::begin(m.is.at), std::end(m.is.at), zero) &&
               std::all_of(std::begin(target.at), std::end(target.at), zero);
    }
    bool is_nearly_key() const {
        const auto none = [](double number) { return std::fabs(number) < no_correction; };
        return std::all_of(std::begin(m.is.at), std::end(m.is.at), none) &&
               std::all_of(std::begin(m.speed.at), std::end(m.speed.at), none);
    }
    void stay_keyed() {
        c.trust = m.trust;
        c.status = flies() ? APLOMB_SETTLING : APLOMB_OK;
    }

    static Vec3 vec(const double* numbers) { return {numbers[0], numbers[1], numbers[2]}; }

    /// The correction's numbers on the model.
    void place(const Model& model, ModelState& state) const {
        std::fill(state.x, state.x + bench.reduction.variable_count, 0.0);
        put_hips(m.is, state.x);
        std::copy(m.is.at + Reduction::first_block, m.is.at + count(), state.x + Reduction::first_block);
        if (pull() >= 0) state.x[pull()] = m.is.at[pull_number];
        model.place(state);
    }

    /// Hips on their way may be beyond the reach of a foot that bears: they sink, as fast as the pace allows, and the more
    /// the nearer a foot that comes down is, so that it is not left short where it lands. `before`: their shift in the last
    /// frame.
    bool lower_hips(const Vec3& before, const ModelState& state) {
        const Vec3& up = s.ground.normal;
        double drop = 0;
        for (int i = 0; i < bench.reduction.limb_count; ++i) {
            const TwoSpan& span = bench.reduction.limb[i].span;
            const double near = nearness(bench.reduction.limb[i]);
            if (near <= 0 || state.limb[i].span.distance <= span.most) continue;
            const Vec3 way = span.end - state.limb[i].span.start;
            const double height = -dot(way, up), across2 = dot(way, way) - height * height;
            const double room2 = span.most * span.most - across2;
            if (room2 > 0 && height > 0) drop = std::max(drop, (height - std::sqrt(room2)) * near);
        }
        if (drop <= 0) return false;
        const Vec3 now = vec(m.is.at), gone = reject(now - before, up);
        const double most2 = step.stride.hips * step.stride.hips - dot(gone, gone);
        const double lowest = dot(before, up) - std::sqrt(std::max(most2, 0.0)), height = dot(now, up);
        const double to = step.clock.anew ? height - drop : std::max(height - drop, std::min(height, lowest));
        put(m.is.at, now + up * (to - height));
        return true;
    }

    /// Feet that ride go along; what is still beyond reach gives.
    bool move_feet(const ModelState& state) {
        bool moved = false;
        for (int i = 0; i < bench.reduction.limb_count; ++i) {
            FixedLimb& limb = bench.reduction.limb[i];
            const Vec3& start = state.limb[i].span.start;
            const double rides = ride_of(limb.limb);
            if (rides > 0) limb.moved = (start - limb.span.start) * rides;
            const Vec3 way = limb.span.end + limb.moved - start;
            const double distance = norm(way);
            if (limb.bearing && distance > limb.span.most) {
                const Vec3 gives = way * (limb.span.most / distance - 1.0);
                limb.moved += gives;
                if (norm(gives) > gave_way) c.gave_way[c.gave_way_count++] = {limb.limb, norm(gives), 0};
            }
            moved = moved || norm(limb.moved) > 0;
            limb.span.end += limb.moved;
        }
        return moved;
    }

    /// What is remembered of a limb's foot, or null.
    const FootMemory* foot_of(int limb) const {
        int k = 0;
        for (int i = 0; i < limb; ++i)
            k += is_foot(figure().limbs[i]);
        return k < most_feet && is_foot(figure().limbs[limb]) ? m.foot + k : nullptr;
    }
    double ride_of(int limb) const {
        const FootMemory* foot = foot_of(limb);
        return foot ? foot->ride : 0.0;
    }
    /// 1: it stands; less the higher it is over its ground. Of a foot that comes down the answer knows the whole reach
    /// already; the hips need not drop for it at once.
    double nearness(const FixedLimb& limb) const {
        if (!limb.bearing) return 0;
        const FootMemory* foot = foot_of(limb.limb);
        if (!foot || foot->standing > 0) return 1;
        return 1.0 - smooth_step(foot_height(figure(), s, limb.limb) / foot_reaches);
    }

    void write(const Model& model, const ModelState& state) {
        const PoseRoom& w = bench.written;
        const FixedLimb* limb = bench.reduction.limb;
        const bool holds = std::any_of(limb, limb + bench.reduction.limb_count,
                                       [](const FixedLimb& one) { return !one.bearing; });
        if (holds) { // their joints' limits are kept as the pose is written: it is measured as a whole
            std::copy(s.pose.translations, s.pose.translations + figure().joint_count, w.translations);
            std::copy(s.pose.rotations, s.pose.rotations + figure().joint_count, w.rotations);
        }
        write_pose(figure(), model, state, w.translations, w.rotations, c.joints);
        c.changed = true;
        c.after = state.balance_point;
        if (!holds) return;
        c.after = balance_point_of_pose(figure(), step.plan, s, w);
        for (int i = 0; i < bench.reduction.limb_count; ++i) {
            if (limb[i].bearing || limb[i].holds_load) continue;
            const int end = figure().limbs[limb[i].limb].end;
            const double place = norm(w.world[end].position - s.body.world[end].position - limb[i].moved);
            const double attitude =
                norm(log_rotation(w.world[end].rotation * conjugate(s.body.world[end].rotation)));
            if (place > gave_way || attitude > gave_way)
                c.gave_way[c.gave_way_count++] = {limb[i].limb, place, attitude};
        }
    }

    /// Whether all that was written and found is a number, and no length more than a kilometre; a limb without length cannot
    /// be placed.
    bool is_measured() const {
        double all = norm(c.after) + c.margin_after + c.lag + norm(bench.written.translations[figure().hips]);
        for (int i = 0; i < c.joints.count; ++i) {
            const Quat& q = bench.written.rotations[c.joints.joint[i]];
            all += dot(q, q);
        }
        all += c.objective + c.stationarity + c.complementarity + norm(c.aim.rest_point) + norm(c.aim.home);
        constexpr double kilometre = 1e3;
        for (const double length : {c.slack, c.violation, c.margin_after, norm(vec(m.is.at))}) {
            if (!(std::fabs(length) <= kilometre)) return false;
        }
        return std::isfinite(all);
    }
    /// The keyed pose, and nothing is trusted.
    void give_up() {
        const Support support = c.support;
        const Aim aim = c.aim;
        c = Correction{};
        c.support = support;
        if (std::isfinite(norm(aim.rest_point) + norm(aim.home))) c.aim = aim;
        c.other_objective = std::nan("");
        c.before = c.after = s.balance_point;
        c.margin_after = support.margin;
        c.trust = m.trust = 0;
        c.status = APLOMB_NOT_CONVERGED;
        m.is = m.speed = m.sound = Followed{};
        m.need = m.kept = m.lag = Need{};
    }

    void judge(bool sound, const Followed& target) {
        c.trust = m.trust;
        c.lag = norm(vec(target.at) - vec(m.is.at));
        if (!flies()) c.margin_after = margin_of(c.support.area, c.after + step.swing);
        const bool stands =
            !flies() && c.margin_after >= c.support.margin_asked - near_margin * figure().leg_length;
        c.status = !sound               ? APLOMB_NOT_CONVERGED
                   : stands             ? APLOMB_OK
                   : c.slack > short_of ? APLOMB_OUT_OF_REACH
                                        : APLOMB_SETTLING;
    }

    void tell(const PoseProblem& problem, Answer& answer, bool home, Evaluation& e) {
        const Reduction& r = bench.reduction;
        if (!home) find_hold_backs(figure(), step.plan, s, step.options, bench, problem, answer, c);
        for (int i = 0; i < problem.size(); ++i)
            e.y[i] = r.sigma[i] > 0 ? e.state.x[i] / r.sigma[i] : 0.0;
        answer.at = &e;
        if (home) problem.balance_point_gradient(e, answer.aside[0], answer.aside[1]);
        account_for(figure(), step.plan, s, step.options, bench, problem, answer, c);
    }
};

} // namespace

bool is_teleported(const Figure& figure, const Key& s, double seconds, double most_way,
                   const StepMemory& memory) {
    const Vec3 expected = memory.hips + memory.velocity * seconds;
    return norm(s.body.world[figure.hips].position - expected) > most_way * figure.leg_length;
}

void remember_body(const Figure& figure, const Clock& clock, const Key& s, StepMemory& m) {
    const Vec3 centre = centre_of(figure, s.body);
    if (!clock.anew && clock.seconds > 0) {
        const double fresh = m.running > 1 ? clock.fresh(smooth_travel) : 1.0;
        m.velocity += (clock.velocity(centre - m.centre) - m.velocity) * fresh;
    }
    m.hips = s.body.world[figure.hips].position;
    m.centre = centre;
    m.running = clock.anew ? 1 : 2;
}

Need need_ahead(const Figure& figure, const BodyPlan& plan, const aplomb_options& options, const Clock& clock,
                const StepMemory& memory, const Key& ahead, double seconds) {
    if (options.rest == 0 || ahead.stance.contact_count == 0) return {};
    const Support support = make_support(figure, ahead, options.margin);
    const Vec3 velocity = (centre_of(figure, ahead.body) - memory.centre) / seconds;
    return need_of(figure, clock, memory, velocity, ahead,
                   make_aim(figure, plan, ahead, support, heft_of(figure, ahead, options.heft),
                            travel_of(clock, memory, ahead.ground)));
}

void take_step(const Step& step, Key& s, Workbench& bench, StepMemory& memory, Correction& correction) {
    Loop{step, s, bench, memory, correction, {}}.go();
}

} // namespace aplomb
