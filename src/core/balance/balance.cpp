// SPDX-License-Identifier: MIT
#include "balance/balance.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <initializer_list>

#include "base/hash.h"
#include "figure/bend.h"
#include "support/standing.h"

namespace aplomb {
namespace {

// Each constant of the starts was halved and doubled, and the effect measured over 20,000 seeds of tests/balance/corpus.h: on
// all iterations, and how many answers cost over 0.1 % more or less. Any change may move the last bits of answers, and with them the hashes of tests/determinism.

// Of the leg's length, 2.5 cm for a grown man: an answer out of reach that falls short by less gets no further start. Halved: 2 cheaper; doubled: -1 % iterations, and 7 dearer, 6 of them in reach by another start.
constexpr double near_balance = 0.03;
// Above this objective there may be a better answer elsewhere, if a held hand or a locked knee allows two. Halved: 2
// cheaper; doubled: 2 dearer, each for half a per cent of the iterations.
constexpr double suspicious = 8.0;
// The same, whatever is held: such an answer looks broken, so the time does not matter. Halved: +4 % iterations for nothing;
// doubled: -2 %, and none dearer.
constexpr double very_strained = 100.0;
// The bend from which a knee that ended straight starts again: enough to get away from straight. Halved or doubled,
// either: 2 dearer, 1 cheaper.
constexpr double unlocked = 8 * degree;
// Of the leg's length: how far the hips start from an answer that is far out of reach; 0.3 m for a grown man's leg of
// 0.85 m is a step. Halved: 4 dearer, of these 3 out of reach, 2 cheaper; doubled: none and 1.
constexpr double far_away = 0.3 / 0.85;

// Of thorough starts: there are some fifty, and what one misses another finds. Of 3,000 thorough answers none moved by 0.1 %
// when far_unlocked was halved or doubled, or lowered halved. The others are by eye and were not measured.
constexpr double far_unlocked = 20 * degree, thorough_bend = 12 * degree;
constexpr double lowered = 1.5;      // of the hips' stiffness
constexpr double scatter_size = 3.0; // at most, of each stiffness
constexpr int scattered = 12;        // starts
// After this many starts in a row that ended, or were given up, within so many sigmas of the best answer there will hardly be
// another one. Over 40,000 fresh moments, all thorough, 22 answers cost less with all starts, which take twice as long; with
// 12 in a row 30, and another sixth of the time saved; with 12 within 1 sigma half as many, and hardly anything saved.
// Without heft answers lie closer together: of 3,000 none was dearer with 20 in a row and no start given up for being near,
// eleven with what does for all of it.
constexpr int enough_came_back = 14, enough_without_heft = 20;
constexpr double near_best = 2.0;
constexpr int most_starts = 64; // that are remembered, so that none is run twice

constexpr double same_cost = 1e-6; // relative; the first start wins a tie
// Most rounds until held limbs have settled: with half as many no answer moved by 0.1 %.
constexpr int most_givings = 12;

// Metres or radians. The first two are what README promises of an ordinary and of an exact answer.
constexpr double out_of_reach = 1e-6; // of slack: more is told as out of reach
constexpr double exact_violation = 1e-9;
constexpr double limits_kept = 1e-12; // a limit exceeded by less is kept: rounding
constexpr double gave_way = 1e-6;     // a hold that moved by less has kept
constexpr double at_rest = 1e-9;      // a keyed balance point this near to its aim is there
constexpr double negligible = 1e-9;   // of the leg's length

} // namespace

void lay_out(Layout& layout, const Figure& figure, Workbench& bench) {
    const Room room = room_for(figure);
    bench.group = layout.take<int32_t>(static_cast<size_t>(figure.joint_count));
    bench.wrench = layout.take<Wrench>(room.links);
    bench.rows = layout.take<Row>(static_cast<size_t>(most_rows(figure.limb_count)));
    bench.reduction.link = layout.take<Link>(room.links);
    bench.reduction.follower = layout.take<Follower>(room.followers);
    bench.reduction.limb = layout.take<FixedLimb>(room.limbs);
    for (Evaluation& e : bench.evaluation)
        e.lay_out(layout, room);
    layout.share([&] { bench.descent.lay_out(layout, size_for(room)); },
                 [&] { bench.written.lay_out(layout, static_cast<size_t>(figure.joint_count)); });
}

namespace {

struct Run {
    const Figure& figure;
    const BodyPlan& plan;
    const Key& s;
    const aplomb_options& options;
    Workbench& bench;
    Correction& c;
    Starts starts = Starts::as_needed;
    Vec2 written_balance_point{};    // of the pose that was written last
    bool held_limbs_settled = false; // that pose is the answer's
    int tried_count = 0;
    int came_back = 0;                // starts in a row that went where the best answer is
    uint64_t tried[most_starts] = {}; // hashes of the starts

    void go() {
        attempt();
        if (!is_measured()) stay_keyed();
    }

    void attempt() {
        c.support = make_support(figure, s, options.margin);
        c.aim = make_aim(figure, plan, s, c.support, options.heft);
        c.before = c.after = s.balance_point;
        c.margin_after = c.support.margin;
        c.other_objective = std::nan("");
        const Carriage carriage = make_carriage(figure, plan, s, c.aim, options);
        if (is_home_already() && !carriage.asks) return;
        const Stiffness stiffness = make_stiffness(figure, options, carriage);
        reduce(figure, s, stiffness, carriage, bench.group, bench.reduction);
        const Model model(s, bench.reduction);
        PoseProblem problem({options, figure, model, stiffness, carriage, c.aim}, c.support.bounds,
                            bench.rows, bench.wrench);
        const bool measured = problem.find_start(bench.evaluation[0]);
        Answer best = solve(problem, measured);
        if (best.stuck) back_to_key(problem, best);
        c.objective = problem.cost(*best.at);
        c.slack = best.slack, c.violation = best.violation;
        c.stationarity = best.stationarity, c.complementarity = best.complementarity;
        if (options.amount > 0) find_hold_backs(problem, best); // what is not moved is not held back
        scale_amount(problem, whole(*best.at));
        if (best.stuck) { // the keyed pose stays
            c.status = APLOMB_NOT_CONVERGED;
            return;
        }
        account(problem, best);
        if (!held_limbs_settled || is_scaled()) write(model, whole(*best.at));
        c.changed = true;
        judge(best);
        find_controls(whole(*best.at).state);
        find_carried(whole(*best.at).state);
    }

    Answer solve(PoseProblem& problem, bool measured) {
        Answer best = descend(problem, measured);
        const Effort effort{options.exact != 0, options.max_iterations};
        if (effort.exact) run(problem, effort, copy_of(best), best); // the same answer, to rounding
        for (int round = 0;
             round < most_givings && !best.stuck && let_held_limbs_give(problem, whole(*best.at)); ++round) {
            if (is_spent()) { // they have not settled
                best.ending = Ending::cut_off;
                break;
            }
            run(problem, effort, copy_of(best), best);
        }
        return best;
    }

    void back_to_key(const PoseProblem& problem, Answer& answer) {
        std::fill(answer.at->y, answer.at->y + problem.size(), 0.0);
        problem.evaluate(*answer.at);
        problem.balance_point_gradient(whole(*answer.at), answer.aside[0], answer.aside[1]);
    }

    /// In balance and with nothing to bring home: the keyed pose stays bit for bit.
    bool is_home_already() const {
        const bool in_balance = c.support.margin >= c.support.margin_asked;
        return in_balance && (options.rest == 0 || norm(s.balance_point - c.aim.rest_point) < at_rest);
    }

    // ---- Starts ----

    /// `measured`: the first evaluation is at the start.
    Answer descend(const PoseProblem& problem, bool measured) {
        Effort effort{false, options.max_iterations};
        effort.measured = measured;
        double start[max_variables];
        problem.start(start);
        Answer best, other;
        best.at = &bench.evaluation[0];
        other.at = &bench.evaluation[1];
        bench.descent.begin(&bench.evaluation[2]);
        run(problem, effort, start, best);
        effort.measured = false;
        ++c.starts;
        if (starts == Starts::first) return best;
        if (options.thorough) is_new(problem, start);
        bool straight = false;
        for (int k = 0; k < best.active_count; ++k) {
            const int row = best.active[k].row;
            straight |= row >= 0 && problem.row(row).kind == RowKind::reach;
        }
        // Out of reach a believable pose near balance is enough.
        const bool settled =
            best.ending == Ending::converged && best.slack > out_of_reach && !is_far_out(best);
        if (settled && !straight && !options.thorough) return best;
        double second[max_variables];
        if (straight) { // a knee that locks is a local minimum of its own
            std::copy(best.at->y, best.at->y + problem.size(), second);
            problem.unlock(second, unlocked);
            compete(problem, effort, second, best, other);
        }
        effort.resigns = !options.thorough || options.heft >= 1;
        // Strained answers have other minima near by where a hand is held fast, which closes the body to a ring, or a knee
        // is locked; else one in 2,000 did (40,000 seeds of the corpus).
        const double cost = problem.cost(*best.at);
        const bool strained = best.at->objective > suspicious;
        const bool ambiguous =
            strained && (fixes_a_hand() || cost > very_strained || best.ending != Ending::converged);
        if ((ambiguous && !straight) || options.thorough) {
            reversed(problem, *best.at, start, second);
            compete(problem, effort, second, best, other);
        }
        // Most often with the trunk bent forward.
        const int further = options.thorough ? 4 : ambiguous || (strained && straight) ? 1 : 0;
        for (int k = 0; k < further; ++k) {
            listed(problem, start, k, second);
            compete(problem, effort, second, best, other);
        }
        if (is_far_out(best)) move_away(problem, effort, best, other);
        if (options.thorough) {
            sink(problem, effort, start, best, other);
            scatter(problem, effort, start, best, other);
            look_around(problem, effort, start, best, other);
            sink(problem, effort, best.at->y, best, other);
            look_around(problem, effort, best.at->y, best, other);
        }
        return best;
    }

    bool is_far_out(const Answer& answer) const { return answer.slack > near_balance * figure.leg_length; }

    /// With the hips far ahead of the best answer's and far behind; with no hand held, where a side falls short, far away from
    /// it, too. With the hips moved all four ways no more of 160,000 moments came within reach.
    void move_away(const PoseProblem& problem, const Effort& effort, Answer& best, Answer& other) {
        for (const double way : {far_away, -far_away})
            try_away(problem, effort, 0, way, best, other);
        if (fixes_a_hand()) return;
        const double* row = best.at->row; // the support's come first
        const auto edge = std::min_element(row, row + c.support.bounds.count) - row;
        const Vec2& out = c.support.bounds.normal[edge];
        if (std::fabs(out.left) < std::fabs(out.fore)) return;
        try_away(problem, effort, 1, out.left > 0 ? -far_away : far_away, best, other);
    }

    /// Nothing turned, knees unlocked.
    void try_away(const PoseProblem& problem, const Effort& effort, int axis, double way, Answer& best,
                  Answer& other) {
        if (bench.reduction.sigma[axis] <= 0 || !is_far_out(best)) return;
        double y[max_variables];
        std::copy(best.at->y, best.at->y + Reduction::hips_turn, y);
        std::fill(y + Reduction::hips_turn, y + problem.size(), 0.0);
        y[axis] += way * figure.leg_length / bench.reduction.sigma[axis];
        problem.unlock(y, unlocked);
        compete(problem, effort, y, best, other);
    }

    /// The trunk as it is at `base` or bent each way, and the hips lower.
    void sink(const PoseProblem& problem, const Effort& effort, const double* base, Answer& best,
              Answer& other) {
        double from[max_variables], y[max_variables];
        std::copy(base, base + problem.size(), from); // it may be the best answer, which changes
        for (int k = 0; k < 5; ++k) {
            listed(problem, from, k, y);
            y[2] -= lowered;
            compete(problem, effort, y, best, other);
        }
    }

    /// The same with knees unlocked by little and by much.
    void look_around(const PoseProblem& problem, const Effort& effort, const double* base, Answer& best,
                     Answer& other) {
        double from[max_variables], y[max_variables];
        std::copy(base, base + problem.size(), from);
        for (int k = 0; k < 5; ++k) {
            for (const double bend : {unlocked, far_unlocked}) {
                listed(problem, from, k, y);
                problem.unlock(y, bend);
                compete(problem, effort, y, best, other);
            }
        }
    }

    /// Everywhere around the start, by the same few numbers each time.
    void scatter(const PoseProblem& problem, const Effort& effort, const double* start, Answer& best,
                 Answer& other) {
        double y[max_variables];
        uint64_t state = 0x9E3779B97F4A7C15;
        for (int k = 0; k < scattered; ++k) {
            for (int i = 0; i < problem.size(); ++i) {
                state ^= state << 13, state ^= state >> 7,
                    state ^= state << 17; // G. Marsaglia, xorshift, 2003
                y[i] = start[i] + scatter_size * (static_cast<double>(state >> 11) * 0x1p-52 - 1.0);
            }
            compete(problem, effort, y, best, other);
        }
    }

    bool fixes_a_hand() const {
        const FixedLimb* limb = bench.reduction.limb;
        return std::any_of(limb, limb + bench.reduction.limb_count, [&](const FixedLimb& l) {
            return figure.limbs[l.limb].kind == APLOMB_ARM && !l.holds_load;
        });
    }

    /// False for a start that was tried before: with no knee to unlock many of the listed ones are the same.
    bool is_new(const PoseProblem& problem, const double* start) {
        Hash<uint64_t> hash;
        for (int i = 0; i < problem.size(); ++i)
            hash.take(start[i]);
        const uint64_t* end = tried + tried_count;
        if (std::find(static_cast<const uint64_t*>(tried), end, hash.sum()) != end) return false;
        if (tried_count < most_starts) tried[tried_count++] = hash.sum();
        return true;
    }

    void run(const PoseProblem& problem, const Effort& effort, const double* start, Answer& answer) {
        answer.stuck = false;
        Effort left = effort;
        left.max_evaluations = options.max_evaluations - c.evaluations;
        bench.descent.run(problem, left, start, answer);
        c.iterations += answer.iterations, c.evaluations += answer.evaluations;
        if (answer.ending != Ending::converged) is_spent();
        problem.settle_reach(*answer.at);
        answer.violation = problem.hard_violation(*answer.at);
        answer.slack = problem.support_violation(*answer.at);
        const bool given_up = effort.rival && answer.ending != Ending::converged;
        if (answer.violation > (effort.exact ? exact_violation : out_of_reach) && !given_up)
            retreat(problem, answer);
    }

    /// Limits are kept whatever happens: back towards the start, or the key, until they are.
    void retreat(const PoseProblem& problem, Answer& answer) {
        double anchor[max_variables], end[max_variables];
        const int n = problem.size();
        Point& e = *answer.at;
        std::copy(e.y, e.y + n, end);
        const auto place = [&](double part) {
            for (int i = 0; i < n; ++i)
                e.y[i] = anchor[i] + part * (end[i] - anchor[i]);
            problem.evaluate(e);
            problem.settle_reach(e);
            return problem.hard_violation(e);
        };
        problem.start(anchor);
        if (place(0) > limits_kept) problem.key(anchor);
        if (place(0) > limits_kept) return give_up(problem, answer);
        double low = 0, high = 1;
        for (int halving = 0; halving < 40; ++halving) {
            const double middle = halving == 39 ? low : 0.5 * (low + high);
            (place(middle) <= limits_kept ? low : high) = middle;
        }
        answer.ending = Ending::cut_off;
        answer.violation = problem.hard_violation(e);
        answer.slack = problem.support_violation(e);
    }

    /// Nothing near the key keeps to the limits, such as a leg keyed straight with its hip or ankle at a limit.
    /// Another start may still find something from here.
    void give_up(const PoseProblem& problem, Answer& answer) {
        answer.ending = Ending::cut_off;
        answer.stuck = true;
        answer.violation = 0; // of what the key, which stays, does not exceed itself
        answer.slack = problem.support_violation(*answer.at);
    }

    /// No evaluation is left; the result says so.
    bool is_spent() {
        const bool spent = c.evaluations >= options.max_evaluations;
        c.cut_short |= spent;
        return spent;
    }

    void compete(const PoseProblem& problem, Effort effort, const double* start, Answer& best,
                 Answer& other) {
        if (options.thorough && (came_back == enough() || !is_new(problem, start))) return;
        if (is_spent()) return;
        if (best.ending == Ending::converged) effort.rival = best.at;
        run(problem, effort, start, other);
        ++c.starts;
        const double cost = problem.cost(*best.at), other_cost = problem.cost(*other.at);
        const bool keeps = other.violation <= best.violation + out_of_reach;
        const bool sound = other.ending == Ending::converged || best.ending != Ending::converged;
        const bool wins = other.stuck != best.stuck
                              ? best.stuck
                              : sound && keeps && other_cost < cost - same_cost * (1.0 + cost);
        came_back = wins || !is_near(problem, best, other) ? 0 : came_back + 1;
        if (wins) std::swap(best, other);
        if (!keeps) return; // what was given up past a limit is no other answer
        const double lost = problem.cost(*other.at);
        c.other_objective = std::isnan(c.other_objective) ? lost : std::min(c.other_objective, lost);
    }

    int enough() const { return options.heft >= 1 ? enough_came_back : enough_without_heft; }

    static bool is_near(const PoseProblem& problem, const Answer& a, const Answer& b) {
        for (int i = 0; i < problem.size(); ++i) {
            if (std::fabs(a.at->y[i] - b.at->y[i]) > near_best) return false;
        }
        return true;
    }

    /// The first answer with bend and twist of the trunk reversed and the hips where the support asks for
    /// them.
    void reversed(const PoseProblem& problem, const Point& first, const double* start, double* y) const {
        std::copy(first.y, first.y + problem.size(), y);
        std::copy(start, start + 3, y);
        for (int i = Reduction::hips_turn; i < Reduction::first_block + 3 * bench.reduction.block_count;
             i += 3)
            y[i] = -y[i], y[i + 1] = -y[i + 1];
    }

    /// The trunk bent forward, back, to either side; past that as it is.
    void listed(const PoseProblem& problem, const double* start, int k, double* y) const {
        std::copy(start, start + problem.size(), y);
        if (k > 3) return;
        const Reduction& r = bench.reduction;
        const int axis = k < 2 ? 0 : 2;
        for (int b = 0; b < r.block_count; ++b) {
            const int i = r.block_variable(b) + axis;
            if (r.sigma[i] > 0)
                y[i] = (k % 2 == 0 ? 1.0 : -1.0) * thorough_bend / (r.block_count * r.sigma[i]);
        }
    }

    /// Where a limb is held, the whole pose is written and measured: what gives way there the model does not know.
    void write(const Model& model, const Evaluation& e) {
        const bool whole_pose = holds_a_limb();
        if (whole_pose) {
            std::copy(s.pose.translations, s.pose.translations + figure.joint_count,
                      bench.written.translations);
            std::copy(s.pose.rotations, s.pose.rotations + figure.joint_count, bench.written.rotations);
        }
        write_pose(figure, model, e.state, bench.written.translations, bench.written.rotations, c.joints);
        written_balance_point =
            whole_pose ? balance_point_of_pose(figure, plan, s, bench.written) : e.state.balance_point;
    }

    // ---- Held limbs ----

    bool holds_a_limb() const {
        const FixedLimb* limb = bench.reduction.limb;
        return std::any_of(limb, limb + bench.reduction.limb_count,
                           [](const FixedLimb& l) { return !l.bearing; }); // a wrist under a load gives, too
    }

    /// Where a held limb meets a limit, the written pose moves it and so the balance point; the problem takes
    /// that in as a constant. True where it changed.
    bool let_held_limbs_give(PoseProblem& problem, const Evaluation& e) {
        if (!holds_a_limb()) return false;
        write(problem.model(), e);
        const Vec2 change = written_balance_point - e.state.balance_point;
        problem.shift_balance_point(change);
        held_limbs_settled = !(norm(change) > negligible * figure.leg_length);
        return !held_limbs_settled;
    }

    /// How far the held ends of the written pose, which is placed, are from where they ride.
    void measure_holds(const ModelState& state) {
        for (int i = 0; i < bench.reduction.limb_count; ++i) {
            const FixedLimb& fixed = bench.reduction.limb[i];
            if (fixed.bearing || fixed.holds_load) continue;
            const int end = figure.limbs[fixed.limb].end;
            const Placement &keyed = s.body.world[end], &written = bench.written.world[end];
            const Vec3 ridden = (state.limb[i].span.start - fixed.span.start) * fixed.ride;
            const double place = norm(written.position - keyed.position - ridden);
            const double attitude = norm(log_rotation(written.rotation * conjugate(keyed.rotation)));
            if (place > gave_way || attitude > gave_way)
                c.gave_way[c.gave_way_count++] = {fixed.limb, place, attitude};
        }
    }

    const double* copy_of(const Answer& answer) {
        std::copy(answer.at->y, answer.at->y + bench.reduction.variable_count, bench.again);
        return bench.again;
    }

    // ---- The answer ----

    /// The amounts scale the controls and the limbs are solved again; cut back towards the full answer where
    /// the limbs could not reach.
    void scale_amount(const PoseProblem& problem, Evaluation& e) {
        if (!is_scaled()) return;
        if (options.amount < 1.0) scale_offers(bench.reduction, options.amount);
        double full[max_variables];
        std::copy(e.y, e.y + problem.size(), full);
        const bool plain = options.amount <= 1.0 && !amounts_differ();
        double kept = 1; // part of the amounts' change
        for (int round = 0; round < 40; ++round) {
            for (int i = 0; i < problem.size(); ++i)
                e.y[i] = full[i] * (1.0 + kept * (amount_of(i) - 1.0));
            problem.evaluate(e);
            if (plain || within_reach(problem, e)) break;
            c.capped = true;
            kept = round == 38 ? 0.0 : 0.75 * kept;
        }
    }

    bool is_scaled() const { return options.amount != 1.0 || amounts_differ(); }

    bool amounts_differ() const { return options.amount_hips != 1.0 || options.amount_spine != 1.0; }

    double amount_of(int variable) const {
        const Reduction& r = bench.reduction;
        if (variable < Reduction::first_block) return options.amount * options.amount_hips;
        if (variable < r.block_variable(r.block_count)) return options.amount * options.amount_spine;
        return options.amount;
    }

    bool within_reach(const PoseProblem& problem, const Evaluation& e) const {
        for (int i = 0; i < problem.row_count(); ++i) {
            const RowKind kind = problem.row(i).kind;
            if ((kind == RowKind::reach || kind == RowKind::fold) && e.row[i] < 0) return false;
        }
        return true;
    }

    /// The verdict on the pose that was written.
    void judge(const Answer& best) {
        c.after = written_balance_point;
        if (holds_a_limb()) measure_holds(whole(*best.at).state);
        c.margin_after = margin_of(c.support.area, c.after);
        share_out_rest();
        if (best.ending != Ending::converged || c.violation > out_of_reach)
            c.status = APLOMB_NOT_CONVERGED;
        else if (c.slack > out_of_reach)
            c.status = APLOMB_OUT_OF_REACH;
        else if (!is_scaled() && c.margin_after < c.support.margin_asked - 2 * out_of_reach)
            c.status = APLOMB_NOT_CONVERGED;
    }

    /// First-order contributions to the balance point's way, with the gradient of the last step.
    void account(const PoseProblem& problem, const Answer& answer) {
        const Reduction& r = bench.reduction;
        const int spine = r.block_variable(r.block_count);
        for (int i = 0; i < problem.size(); ++i) {
            Vec2& part = c.moved_by[i < 3 ? 0 : i < 6 ? 1 : i < spine ? 2 : 4];
            part = part + Vec2{answer.aside[0][i], answer.aside[1][i]} * answer.at->y[i];
        }
        if (r.follower_count == 0 && !r.has_level) return;
        // Arms and girdles do what they do with nothing else moved; any evaluation but the answer's is free.
        Evaluation& offered = bench.evaluation[answer.at == &bench.evaluation[0] ? 1 : 0];
        c.moved_by[3] = problem.keyed_balance_point(offered) - s.balance_point;
    }

    /// What first order leaves over goes to the parts in proportion.
    void share_out_rest() {
        Vec2 rest = c.after - c.before;
        double size = 0;
        for (const Vec2& part : c.moved_by)
            rest = rest - part, size += norm(part);
        if (size <= 0) return void(c.moved_by[0] = rest);
        for (Vec2& part : c.moved_by)
            part = part + rest * (norm(part) / size);
    }

    void find_controls(const ModelState& state) {
        const Reduction& r = bench.reduction;
        c.hips_shift = {state.x[0], state.x[1], state.x[2]};
        c.hips_turn = {state.x[3], state.x[4], state.x[5]};
        const Quat hips = state.link[0].turn * s.body.hips_from_neutral;
        c.chest = against(state.link[r.chest_link].turn, figure.chest, hips, s.body.hips_from_neutral);
        if (figure.head < 0) return;
        const Quat chest_keyed = from_neutral(figure, s, figure.chest);
        const Quat& chest = state.link[r.chest_link].turn;
        c.neck = against(r.head_follower >= 0 ? state.follower[r.head_follower].turn : chest, figure.head,
                         chest * chest_keyed, chest_keyed);
    }

    /// What of a carry shows beside hips, trunk and neck.
    void find_carried(const ModelState& state) {
        const Reduction& r = bench.reduction;
        const Vec3& up = s.ground.normal;
        for (int i = 0; i < r.limb_count && c.knee_count < APLOMB_MAX_KNEES; ++i) {
            const FixedLimb& fixed = r.limb[i];
            const Limb& limb = figure.limbs[fixed.limb];
            if (!fixed.bearing || limb.kind != APLOMB_LEG) continue;
            const Placement* keyed = s.body.world;
            const TwoSpanState& now = state.limb[i].span;
            c.knee[c.knee_count++] = {fixed.limb,
                                      bend_between(keyed[limb.upper].position, keyed[limb.lower].position,
                                                   keyed[limb.end].position),
                                      bend_between(now.start, now.middle, now.end)};
        }
        if (r.has_level) {
            const Model model(s, r);
            const Vec3 lag =
                model.place(state, r.level.axis) - r.level.axis.keyed - (state.level.place - r.level.place);
            c.drawn_in = dot(lag, s.ground.fore), c.lowered = dot(lag, up);
        }
        for (int i = 0; i < figure.limb_count; ++i) {
            const Limb& limb = figure.limbs[i];
            if (limb.kind != APLOMB_ARM || limb.side == APLOMB_SIDE_MIDDLE) continue;
            const int girdle = figure.joints[limb.upper].carrier;
            for (int k = 0; k < r.follower_count; ++k) {
                const Follower& follower = r.follower[k];
                if (follower.joint != girdle) continue;
                const Vec3 lever = s.body.world[limb.upper].position - s.body.world[girdle].position;
                const Vec3 rides = rotate(state.link[follower.link].turn, lever);
                c.shoulder_drop[limb.side == APLOMB_SIDE_LEFT ? 0 : 1] =
                    dot(up, rides - rotate(state.follower[k].turn, lever));
            }
        }
    }

    /// How a joint's turn against a base changed, in the base's anatomical axes.
    Vec3 against(const Quat& turn, int joint, const Quat& base, const Quat& base_keyed) const {
        const Quat keyed = from_neutral(figure, s, joint);
        const Quat was = conjugate(base_keyed) * keyed, is = conjugate(base) * turn * keyed;
        return log_rotation(normalized(is * conjugate(was)));
    }

    // ---- Nothing that is not a number ----

    /// Whether all that was found is finite, and no length more than a kilometre.
    bool is_measured() const {
        double all = c.objective + c.stationarity + c.complementarity + norm(c.hips_turn) + norm(c.chest) +
                     norm(c.neck) + norm(c.after);
        for (const Vec2& part : c.moved_by)
            all += norm(part);
        for (int i = 0; i < c.hold_back_count; ++i)
            all += c.hold_back[i].multiplier;
        for (int i = 0; i < c.knee_count; ++i)
            all += c.knee[i].bend;
        for (int i = 0; c.changed && i < c.joints.count; ++i) {
            const Quat& q = bench.written.rotations[c.joints.joint[i]];
            all += dot(q, q);
        }
        if (c.changed) all += norm(bench.written.translations[figure.hips]);
        constexpr double kilometre = 1e3;
        for (const double length : {c.slack, c.violation, c.margin_after, norm(c.hips_shift), c.drawn_in,
                                    c.lowered, c.shoulder_drop[0], c.shoulder_drop[1]}) {
            if (!(std::fabs(length) <= kilometre)) return false;
        }
        return std::isfinite(all);
    }

    /// The keyed pose, of which nothing more is said than how it stands.
    void stay_keyed() {
        const Support support = c.support;
        const Aim aim = c.aim;
        c = Correction{};
        c.support = support, c.aim = aim;
        c.status = APLOMB_NOT_CONVERGED;
        c.before = c.after = s.balance_point;
        c.margin_after = support.margin;
        c.slack = std::max(0.0, support.margin_asked - support.margin);
        c.other_objective = std::nan("");
    }

    void find_hold_backs(const PoseProblem& problem, const Answer& answer) {
        for (int k = 0; k < answer.active_count && c.hold_back_count < APLOMB_MAX_HOLD_BACKS; ++k) {
            const Active& active = answer.active[k];
            if (active.row >= 0 && problem.is_support(active.row)) continue;
            const int variable = -1 - active.row;
            const bool pull =
                active.row < 0 && bench.reduction.has_level && variable == bench.reduction.level.pull;
            if (pull && answer.at->y[variable] <= problem.lowest()[variable]) continue; // not drawn in
            Correction::HoldBack& by = c.hold_back[c.hold_back_count++];
            by = {};
            by.multiplier = std::fabs(active.multiplier);
            if (active.row >= 0) {
                by.row = problem.row(active.row);
                by.axis = by.row.axis;
                const bool limb = by.row.kind != RowKind::chest && by.row.kind != RowKind::hips;
                if (limb) by.limb = bench.reduction.limb[by.row.index].limb;
                continue;
            }
            const int block = (variable - Reduction::first_block) / 3;
            by.axis = variable % 3;
            by.hips = variable < Reduction::first_block;
            by.pull = pull;
            if (by.hips || by.pull) continue;
            for (int i = bench.reduction.link_count - 1; i > 0; --i) {
                if (bench.reduction.link[i].block == block) by.lean = bench.reduction.link[i].joint;
            }
        }
    }
};

} // namespace

void correct(const Figure& figure, const BodyPlan& plan, const Key& key, const aplomb_options& options,
             Workbench& bench, Correction& correction, Starts starts) {
    Run{figure, plan, key, options, bench, correction, starts}.go();
}

void find_hold_backs(const Figure& figure, const BodyPlan& plan, const Key& key,
                     const aplomb_options& options, Workbench& bench, const PoseProblem& problem,
                     const Answer& answer, Correction& correction) {
    Run{figure, plan, key, options, bench, correction}.find_hold_backs(problem, answer);
}

void account_for(const Figure& figure, const BodyPlan& plan, const Key& key, const aplomb_options& options,
                 Workbench& bench, const PoseProblem& problem, const Answer& answer, Correction& correction) {
    Run run{figure, plan, key, options, bench, correction};
    run.account(problem, answer);
    run.share_out_rest();
    run.find_controls(whole(*answer.at).state);
    run.find_carried(whole(*answer.at).state);
}

} // namespace aplomb
