// SPDX-License-Identifier: MIT
#include "solve/descent.h"

#include "solve/dense.h"

#include <algorithm>
#include <cmath>

namespace aplomb {
namespace {

// What moves where a constant does was measured over 20,000 seeds of tests/balance/corpus.h, each constant halved and
// doubled (parts: by a half): iterations of all, and how many answers cost over 0.1 % more or less. Where nothing is said,
// that is under 1 % and some five answers either way: the value matters little. Any change moves the last bits of answers,
// and with them the hashes of tests/determinism.

// The trust box, in sigmas: derivatives are believed this far from where they were taken. An answer outside the first box
// costs more than 8 for one variable alone. Halved: -2 % iterations, 16 answers dearer and 16 cheaper. No answer reaches
// the largest box; within the least, only rounding is left.
constexpr double first_radius = 4.0, largest_radius = 16.0, least_radius = 1e-10;
// Parts of the promised gain (Nocedal and Wright, ch. 4): a step that gains less than the fair part is refused, less than
// the poor part shrinks the box, and more than the good part widens it if the step reached the box.
constexpr double fair_part = 0.05, poor_part = 0.25, good_part = 0.5;
// Factors of the box: where a step was refused or none could be found, and after a good one. Never widened: +12 %
// iterations, and four times as many descents that do not converge.
constexpr double smaller_box = 0.25, larger_box = 2.0;
// Parts of the box: from the first on a step counts as having reached it, from the second on as cut short by it.
constexpr double met_box = 0.9, at_box = 0.999;

// How much of each row's violation a step must remove; the next is tried where there is no step. A row that can never be met
// allows none at 1.
constexpr double asked_of_rows[] = {1.0, 0.3, 0.0};
// Rows nearer to their bound than this, in their own unit, enter the quadratic programme. Halved, steps run into rows that
// were left out: +2 % iterations; doubled, more rows are differentiated for nothing.
constexpr double window = 0.4;

// Iterations after which an ordinary descent, too, learns the curvature that Gauss-Newton leaves out, which makes every
// further step a dense one. Halved: +6 % iterations and a quarter more time; doubled: +5 % iterations.
constexpr int slow = 6;
// The least cosine between a step and the curvature missed along it: below it a rank-one update would be noise (Nocedal and
// Wright, ch. 6.2).
constexpr double least_cosine = 1e-2;
// Curvature added along an active row, times its multiplier: any value does that makes the matrix positive definite.
constexpr double stiffening = 10.0;

// The hard rows' weight in the merit function, times the largest multiplier. At 1 or less its minimum would not be the answer;
// doubled, steps along curved rows get shorter: +2 %.
constexpr double over_multiplier = 2.0;
// The weight of the slack's square, times its price; it makes the slack's diagonal entry positive. Other values lead
// elsewhere where a pose is near the edge of reach.
constexpr double slack_square = 0.1;
constexpr double slack_unit = 1e-7; // metres; a smaller slack is none

// After a step that gained this part of what was promised, and of the whole objective, a second one is taken with the same
// derivatives: new ones cost as much as the rest of an iteration. Never: +1 %, 8 dearer.
constexpr double chordal = 0.7, long_way = 0.5;
// Part of the objective: after a good step that promised less, the last step keeps the residuals' derivatives.
constexpr double last_lap = 0.02;

// A strained pose may lie in a long curved valley, where each of many steps promises little: above the first objective a
// descent stops only at the second, smaller relative gain. Halved or doubled, either: 1 % of the iterations.
constexpr double strained = 8.0, strained_objective = 1e-6;
// A descent is expected to gain at most this many times what its step promises; where even that would not beat its rival, it
// is given up. Halved: -3 %, and one that would have won is lost; doubled: +1 %.
constexpr double hopeful = 4.0;
// In sigmas: a descent this near to its rival is taken to end there. Doubled: -1 %, 8 dearer.
constexpr double same_place = 0.02;
// Most starts end where the first one did. From this iteration on, a start is given up if it is within near_rival sigmas of
// its rival and its last step promises an end at most a thousandth (README's promise) below the rival's. Over 40,000 fresh seeds: 40 % of the iterations of further starts saved, 6 of 220 better answers missed.
// From the second iteration on: 6 % more saved, 9 missed; 3 sigmas: 10 % more, 12 missed. The one with a knee unlocked is
// never given up so: of 1,700 answers one cost more when it was. Thorough starts: 31 % of their iterations saved, 2 of 20,000 answers dearer.
constexpr int seen_going = 3;
constexpr double near_rival = 2.0, promised_part = 1.02, no_better = 1e-3;

// Of a descent that goes on in the next frame: it leaves a cost of which 1 mm of the hips is a third, and limits that it
// is short of by a tenth of what a frame may be. A step that gains too little is shortened down to the last part, which takes an evaluation where another step would take twenty.
constexpr double left_to_next = 2e-3, short_of_limits = 1e-4;
// What such a step gains differs from what it promised by about what is left; where that is no more than left_to_next and this part of the
// merit, the next frame has it, too. On recorded motion it saves a third of the iterations and moves hips by less than .3 mm on 20 of 24 clips.
constexpr double left_part = 5e-3;
constexpr double shorter = 0.25, shortest_part = 0.01;

constexpr double nothing = 1e-9;         // of the merit: a step that promises less gains nothing
constexpr double stuck_violation = 1e-6; // metres or radians
constexpr double rounding = 1e-12;       // of the merit, a sum of some hundred terms
constexpr double proof = 1e-8, proof_violation = 1e-9; // as README promises of exact answers

/// When a descent ends. README's promise of 0.1 % rests on the ordinary values, that of the proof on the strict ones.
struct Tolerance {
    double objective;    // predicted gain, relative
    double stationarity; // relative to 1 + the largest multiplier
    double violation;    // metres or radians
};
constexpr Tolerance ordinary = {5e-5, 1e-3, 5e-10}, strict = {1e-18, 5e-9, 5e-10};

} // namespace

void Descent::lay_out(Layout& layout, const ProblemSize& size) {
    const size_t n = size.variables + 1; // one more for the slack
    stride_ = static_cast<int>(n);
    layout.share([&] { quadratic_.lay_out(layout, stride_); },
                 [&] { few_rows_.lay_out(layout, size.residuals); });
    derivatives_.stride = stride_;
    derivatives_.jacobian = layout.take<double>(size.residuals * n);
    derivatives_.near_row = layout.take<double>(max_near_rows * n);
    curvature_ = layout.take<double>(half_size(n));
    row_multiplier_ = layout.take<double>(size.rows);
    for (double** line : {&d_, &lowest_, &highest_, &bound_multiplier_, &lagrangian_, &linear_})
        *line = layout.take<double>(n);
}

// ---- The quadratic programme
// ----------------------------------------------------------------------------------

/// I + J'J, plus what was learned of the rest.
void Descent::build_matrix(const Problem& problem, int size) {
    const int n = problem.size();
    for (int i = 0; i < size; ++i) {
        double* line = quadratic_.line(i);
        if (curved_ && i < n)
            std::copy(half_line(curvature_, i), half_line(curvature_, i + 1), line);
        else
            std::fill(line, line + i + 1, 0.0);
        line[i] += 1.0;
        for (int k = 0; k < derivatives_.jacobian_count && i < n; ++k) {
            const double* j = derivatives_.jacobian + k * stride_;
            if (j[i] != 0) add_scaled(line, j[i], j, i + 1);
        }
    }
    if (size > n) quadratic_.line(n)[n] = slack_square * merit_.support;
}

/// Along the rows that hold, any curvature may be added without moving the answer.
void Descent::stiffen(const Problem& problem) {
    const int n = problem.size();
    for (int k = 0; k < derivatives_.near_count; ++k) {
        const double multiplier = row_multiplier_[derivatives_.near_index[k]];
        if (multiplier <= 0) continue;
        const double* a = derivatives_.near_row + k * stride_;
        const double weight = stiffening * multiplier / dot_n(a, a, n);
        for (int i = 0; i < n; ++i)
            add_scaled(quadratic_.line(i), weight * a[i], a, i + 1);
    }
}

bool Descent::factor(const Problem& problem, int size) {
    if (factored_) return true;
    build_matrix(problem, size);
    factored_ = quadratic_.factor(size);
    if (factored_) return true;
    if (!curved_) return false;
    build_matrix(problem, size);
    stiffen(problem);
    if (quadratic_.factor(size)) return true;
    curved_ = false; // the estimate was of no use here
    build_matrix(problem, size);
    return quadratic_.factor(size);
}

void Descent::set_bounds(const Problem& problem, const Point& here) {
    for (int i = 0; i < problem.size(); ++i) {
        lowest_[i] = std::max(problem.lowest()[i] - here.y[i], -radius_);
        highest_[i] = std::min(problem.highest()[i] - here.y[i], radius_);
    }
}

/// Solves for d_. `relax` < 1 asks the rows for a part of their way only; a row that is violated for good
/// would otherwise leave no step at all.
Quadratic::Outcome Descent::step(const Problem& problem, const Point& here, double relax) {
    const int n = problem.size();
    box_ = radius_;
    set_bounds(problem, here);
    slack_used_ = false;
    for (int k = 0; k < derivatives_.near_count; ++k) {
        const int row = derivatives_.near_index[k];
        const bool support = problem.is_support(row);
        slack_used_ |= support;
        double* normal = derivatives_.near_row + k * stride_;
        normal[n] = support ? 1.0 : 0.0;
        const double least = -here.row[row];
        rows_[k] = {normal, support || least <= 0 ? least : relax * least, row_multiplier_[row]};
    }
    if (!is_within_box(problem)) return Quadratic::Outcome::infeasible;
    if (curved_ || gives_) return dense_step(problem, here);
    factored_ = false;
    if (light_ && !dense_)
        few_rows_.forget_rows();
    else
        few_rows_.factor(derivatives_, n);
    dense_ = false;
    if (step_without_slack(problem, derivatives_.gradient)) return Quadratic::Outcome::solved;
    return dense_step(problem, here);
}

/// False where some row is further away than the trust box allows, as is the case for most steps that do not exist.
bool Descent::is_within_box(const Problem& problem) const {
    for (int k = 0; k < derivatives_.near_count; ++k) {
        if (rows_[k].least <= 0 || problem.is_support(derivatives_.near_index[k])) continue;
        const double* normal = rows_[k].normal;
        double most = 0;
        for (int i = 0; i < problem.size(); ++i)
            most += std::max(normal[i] * lowest_[i], normal[i] * highest_[i]);
        if (most < rows_[k].least) return false;
    }
    return true;
}

/// Most steps meet few rows, and the support need not give.
bool Descent::step_without_slack(const Problem& problem, const double* gradient) {
    if (!few_rows_.solve(gradient, rows_, lowest_, highest_, d_, bound_multiplier_)) return false;
    double price = 0;
    for (int k = 0; k < derivatives_.near_count; ++k)
        price += problem.is_support(derivatives_.near_index[k]) ? rows_[k].multiplier : 0.0;
    d_[problem.size()] = 0;
    return price <= merit_.support;
}

Quadratic::Outcome Descent::dense_step(const Problem& problem, const Point& here) {
    const int n = problem.size();
    dense_ = true; // its matrices take the few rows' place
    if (!factor(problem, n + (slack_used_ ? 1 : 0))) return Quadratic::Outcome::stalled;
    std::copy(derivatives_.gradient, derivatives_.gradient + n, linear_);
    if (slack_used_) { // its square only bounds it; at the present slack it costs its price
        const double now = problem.support_violation(here) / problem.support_unit();
        lowest_[n] = 0, highest_[n] = 1e9, linear_[n] = merit_.support * (1.0 - slack_square * now);
    }
    const Quadratic::Outcome outcome =
        quadratic_.solve(linear_, rows_, derivatives_.near_count, lowest_, highest_, d_, bound_multiplier_);
    if (outcome == Quadratic::Outcome::solved)
        gives_ = slack_used_ && d_[n] * problem.support_unit() > slack_unit;
    return outcome;
}

double Descent::merit(const Point& e) const {
    return e.objective + merit_.hard * e.limits_short + merit_.support * e.support_short;
}

/// The merit that the quadratic model promises after d_.
double Descent::predicted_merit(const Problem& problem, const Point& here) const {
    const int n = problem.size();
    double value = here.objective + dot_n(derivatives_.gradient, d_, n) + 0.5 * dot_n(d_, d_, n);
    for (int k = 0; k < derivatives_.jacobian_count; ++k) {
        const double change = dot_n(derivatives_.jacobian + k * stride_, d_, derivatives_.width[k]);
        value += 0.5 * change * change;
    }
    if (curved_) {
        double turned[most_variables];
        half_times(curvature_, d_, turned, n);
        value += 0.5 * dot_n(d_, turned, n);
    }
    double hard = 0, support = 0;
    for (int k = 0; k < derivatives_.near_count; ++k) {
        const int row = derivatives_.near_index[k];
        const double left = -(here.row[row] + dot_n(derivatives_.near_row + k * stride_, d_, n));
        if (problem.is_support(row))
            support = std::max(support, left);
        else
            hard += std::max(0.0, left);
    }
    return value + merit_.hard * hard + merit_.support * support;
}

double Descent::largest_multiplier(const Problem& problem) const {
    double largest = 0;
    for (int i = 0; i < problem.row_count(); ++i)
        largest = std::max(largest, row_multiplier_[i]);
    for (int i = 0; i < problem.size(); ++i)
        largest = std::max(largest, std::fabs(bound_multiplier_[i]));
    return largest;
}

void Descent::follow_multipliers(const Problem& problem) {
    double hard = 0;
    std::fill(row_multiplier_, row_multiplier_ + problem.row_count(), 0.0);
    for (int k = 0; k < derivatives_.near_count; ++k) {
        const int row = derivatives_.near_index[k];
        row_multiplier_[row] = rows_[k].multiplier;
        if (!problem.is_support(row)) hard = std::max(hard, rows_[k].multiplier);
    }
    merit_.hard = std::max(merit_.hard, over_multiplier * hard);
}

// ---- Curvature
// -------------------------------------------------------------------------------------------------

/// Symmetric rank-one update towards (change of the Lagrangian's gradient) - (Gauss-Newton part) along the
/// step. `lagrangian_` is the gradient at `from`; derivatives_ is at `to`, both with the last multipliers.
void Descent::learn_curvature(const Problem& problem, const Point& from, const Point& to) {
    const int n = problem.size();
    double step[most_variables], miss[most_variables];
    for (int i = 0; i < n; ++i)
        step[i] = to.y[i] - from.y[i];
    for (int i = 0; i < n; ++i)
        miss[i] = derivatives_.gradient[i] - lagrangian_[i] - step[i];
    for (int k = 0; k < derivatives_.near_count; ++k) {
        const double multiplier = row_multiplier_[derivatives_.near_index[k]];
        if (multiplier == 0) continue;
        for (int i = 0; i < n; ++i)
            miss[i] -= multiplier * derivatives_.near_row[k * stride_ + i];
    }
    for (int k = 0; k < derivatives_.jacobian_count; ++k) {
        const double* j = derivatives_.jacobian + k * stride_;
        const double along = dot_n(j, step, n);
        for (int i = 0; i < n; ++i)
            miss[i] -= along * j[i];
    }
    if (curved_) {
        double turned[most_variables];
        half_times(curvature_, step, turned, n);
        add_scaled(miss, -1.0, turned, n);
    } else {
        std::fill(curvature_, half_line(curvature_, n), 0.0);
    }
    const double along = dot_n(miss, step, n);
    const double sizes = std::sqrt(dot_n(miss, miss, n) * dot_n(step, step, n));
    if (!(std::fabs(along) > least_cosine * sizes) || sizes < 1e-14) return;
    for (int i = 0; i < n; ++i)
        add_scaled(half_line(curvature_, i), miss[i] / along, miss, i + 1);
    curved_ = true;
}

/// False where the last step stopped at the trust box rather than at the variable's own bound.
bool Descent::is_own_bound(int variable) const {
    return bound_multiplier_[variable] > 0 ? lowest_[variable] > -box_ : highest_[variable] < box_;
}

/// Gradient of the Lagrangian at the point of the derivatives, with the last step's multipliers; returns its
/// largest component.
double Descent::lagrangian_gradient(const Problem& problem, double* out) const {
    const int n = problem.size();
    std::copy(derivatives_.gradient, derivatives_.gradient + n, out);
    for (int k = 0; k < derivatives_.near_count; ++k) {
        const double m = row_multiplier_[derivatives_.near_index[k]];
        if (m == 0) continue;
        for (int i = 0; i < n; ++i)
            out[i] -= m * derivatives_.near_row[k * stride_ + i];
    }
    double worst = 0;
    for (int i = 0; i < n; ++i) {
        const double m = bound_multiplier_[i];
        worst = std::max(worst, std::fabs(m != 0 && is_own_bound(i) ? out[i] - m : out[i]));
    }
    return worst;
}

// ---- The loop
// --------------------------------------------------------------------------------------------------

void Descent::run(const Problem& problem, const Effort& effort, const double* y, Answer& answer) {
    bool measured = effort.measured;
    for (int i = 0; i < problem.size(); ++i) {
        const double start = std::clamp(y[i], problem.lowest()[i], problem.highest()[i]);
        measured = measured && answer.at->y[i] == start;
        answer.at->y[i] = start;
    }
    if (!measured) problem.evaluate(*answer.at);
    evaluations_ = 1;
    problem.differentiate(*answer.at, derivatives_, window);
    std::fill(row_multiplier_, row_multiplier_ + problem.row_count(), 0.0);
    std::fill(bound_multiplier_, bound_multiplier_ + problem.size() + 1, 0.0); // the slack's, too
    merit_ = Merit{};
    merit_.support = problem.support_price();
    radius_ = first_radius;
    curved_ = light_ = gives_ = factored_ = false;
    learn_from_ = effort.exact ? 1 : slow;
    answer.ending = Ending::cut_off;
    const auto has_more = [&] {
        return answer.iterations < effort.max_iterations && evaluations_ < effort.max_evaluations;
    };
    for (answer.iterations = 0; has_more() && radius_ >= least_radius;) {
        ++answer.iterations;
        if (!find_step(problem, *answer.at)) { // a smaller box may still have a solution
            radius_ *= smaller_box;
            continue;
        }
        follow_multipliers(problem);
        Progress progress = judge(problem, effort, *answer.at);
        if (effort.exact && is_done(problem, effort, *answer.at, progress)) {
            answer.ending = Ending::converged;
            break;
        }
        if (is_stuck(problem, *answer.at, progress)) break;
        if (is_beaten(problem, effort, answer, progress)) break;
        move(problem, effort, answer, progress);
        if (!effort.exact && is_done(problem, effort, *answer.at, progress)) {
            answer.ending = Ending::converged;
            break;
        }
    }
    answer.evaluations = evaluations_;
    prove(problem, answer);
    const bool proven = answer.stationarity <= proof && answer.complementarity <= proof &&
                        answer.violation <= proof_violation;
    if (effort.exact) answer.ending = proven ? Ending::converged : Ending::cut_off;
}

/// True where limits are exceeded and no step makes that less.
bool Descent::is_stuck(const Problem& problem, const Point& here, const Progress& progress) const {
    return progress.promised <= nothing * (1.0 + progress.before) &&
           problem.hard_violation(here) > stuck_violation;
}

/// True where the rival's answer is better by more than this descent can hope to gain, or is where it is
/// going.
bool Descent::is_beaten(const Problem& problem, const Effort& effort, const Answer& answer,
                        const Progress& progress) const {
    if (!effort.rival) return false;
    const double rival = problem.cost(*effort.rival);
    if (progress.before - hopeful * progress.promised > rival) return true;
    double apart = 0;
    for (int i = 0; i < problem.size(); ++i)
        apart = std::max(apart, std::fabs(answer.at->y[i] - effort.rival->y[i]));
    if (apart <= same_place) return true;
    const double end = progress.before - promised_part * progress.promised;
    return effort.resigns && answer.iterations >= seen_going && apart <= near_rival &&
           end > rival - no_better * (1.0 + rival);
}

/// A row that can never be met would leave no step at all, so less and less is asked of the rows.
bool Descent::find_step(const Problem& problem, const Point& here) {
    for (const double relax : asked_of_rows) {
        if (step(problem, here, relax) == Quadratic::Outcome::solved) return true;
    }
    return false;
}

/// True where the trust box cut the last step short.
bool Descent::box_binds(const Problem& problem) const {
    for (int i = 0; i < problem.size(); ++i) {
        if (std::fabs(d_[i]) > at_box * box_) return true;
    }
    return false;
}

/// How far the last step's model thinks it is from the end.
Descent::Progress Descent::judge(const Problem& problem, const Effort& effort, const Point& here) const {
    Progress p;
    p.before = merit(here);
    p.promised = p.before - predicted_merit(problem, here);
    p.slack = slack_used_ && d_[problem.size()] * problem.support_unit() > slack_unit;
    const double slack_part = p.slack ? nothing * merit_.support : 0.0;
    const double part = here.objective > strained ? strained_objective : ordinary.objective;
    const double left = part * (here.objective + 1e-6) + (effort.goes_on ? left_to_next : 0.0);
    p.nearly_level = p.promised <= left + slack_part && !box_binds(problem);
    p.level = p.nearly_level;
    if (effort.exact) {
        const double unit = strict.stationarity * (1.0 + largest_multiplier(problem));
        p.level = lagrangian_gradient(problem, lagrangian_) <= unit && complementarity(problem, here) <= unit;
    }
    return p;
}

/// True where the last step promised next to nothing and `e` keeps to its rows.
bool Descent::is_done(const Problem& problem, const Effort& effort, const Point& e,
                      const Progress& progress) const {
    const double violation = effort.goes_on ? short_of_limits
                             : effort.exact ? strict.violation
                                            : ordinary.violation;
    if (!progress.level || problem.hard_violation(e) > violation) return false;
    return progress.slack || problem.support_violation(e) <= violation;
}

/// Puts `to` at the end of the step d_ from `from`.
void Descent::place(const Problem& problem, const Point& from, Point& to) {
    for (int i = 0; i < problem.size(); ++i)
        to.y[i] = std::clamp(from.y[i] + d_[i], problem.lowest()[i], problem.highest()[i]);
    problem.evaluate(to);
    problem.settle_reach(to);
    ++evaluations_;
}

/// Places the trial at the end of the step d_ and returns what the merit gains there.
double Descent::try_step(const Problem& problem, const Point& here, const Progress& progress) {
    place(problem, here, *trial_);
    return progress.before - merit(*trial_);
}

/// The step again, with the rows as the trial found them: a second-order correction for their curvature.
bool Descent::correct_step(const Problem& problem, const Point& here) {
    const int n = problem.size();
    bool met = false;
    for (int k = 0; k < derivatives_.near_count; ++k) {
        const int row = derivatives_.near_index[k];
        met |= rows_[k].multiplier > 0 || trial_->row[row] < 0;
        rows_[k].least = dot_n(rows_[k].normal, d_, n) - trial_->row[row];
    }
    if (!met) return false;
    if (!dense_ && step_without_slack(problem, derivatives_.gradient)) return true;
    return dense_step(problem, here) == Quadratic::Outcome::solved;
}

/// Tries the step, and once more with its rows corrected; takes it where the merit falls by a fair part of what was
/// promised, and gets the derivatives that the next one needs.
void Descent::move(const Problem& problem, const Effort& effort, Answer& answer, Progress& progress) {
    const Point& here = *answer.at;
    const double noise = merit_noise(progress);
    const double fair = fair_part * progress.promised - noise;
    const double longest = longest_move(problem);
    double gained = try_step(problem, here, progress);
    if (gained < fair && correct_step(problem, here)) gained = try_step(problem, here, progress);
    double part = 1;
    for (; effort.goes_on && gained < part * fair && part > shortest_part; part *= shorter) {
        for (int i = 0; i < problem.size(); ++i)
            d_[i] *= shorter;
        gained = try_step(problem, here, progress);
    }
    if (gained < part * fair) {
        radius_ = std::min(smaller_box * radius_, 0.5 * longest);
        return;
    }
    if (part == 1) fit_box(gained, longest, noise, progress);
    const double left = left_to_next + left_part * progress.before;
    if (effort.goes_on && part == 1 && !box_binds(problem) && std::fabs(gained - progress.promised) <= left)
        progress.level = true;
    if (!effort.exact && is_done(problem, effort, *trial_, progress)) {
        take_trial(answer); // no derivatives for what ends here
    } else if (answer.iterations >= learn_from_) {
        learn_from_trial(problem, here);
        take_trial(answer);
    } else if (is_long_and_good(gained, progress) && step_on(problem, answer)) {
        differentiate(problem, *answer.at);
    } else {
        take_trial(answer);
        if (!go_light(problem, effort, *answer.at, gained, progress)) differentiate(problem, *answer.at);
    }
}

void Descent::take_trial(Answer& answer) {
    std::swap(answer.at, trial_);
}

/// What rounding alone can do to the merit; the weights carry it along.
double Descent::merit_noise(const Progress& progress) const {
    return rounding *
           (1.0 + std::fabs(progress.before) + 3.0 * merit_.hard + (slack_used_ ? merit_.support : 0.0));
}

/// How far the step moves the variable that it moves most.
double Descent::longest_move(const Problem& problem) const {
    double longest = 0;
    for (int i = 0; i < problem.size(); ++i)
        longest = std::max(longest, std::fabs(d_[i]));
    return longest;
}

/// A larger box after a good step that met it, a smaller one after a poor step.
void Descent::fit_box(double gained, double longest, double noise, const Progress& progress) {
    if (gained > good_part * progress.promised && longest > met_box * radius_)
        radius_ = std::min(larger_box * radius_, largest_radius);
    else if (gained < poor_part * progress.promised - noise)
        radius_ = std::max(0.5 * longest, least_radius);
}

/// The curvature between the last place and the trial, whose derivatives replace those at hand.
void Descent::learn_from_trial(const Problem& problem, const Point& here) {
    lagrangian_gradient(problem, lagrangian_);
    differentiate(problem, *trial_);
    learn_curvature(problem, here, *trial_);
}

/// A step after which the derivatives at hand are good for a second one.
bool Descent::is_long_and_good(double gained, const Progress& progress) const {
    return gained >= chordal * progress.promised && gained >= long_way * progress.before;
}

/// Near the end new derivatives of the residuals would say nothing new; the gradient and the rows that hold are
/// enough for one more step.
bool Descent::go_light(const Problem& problem, const Effort& effort, Point& at, double gained,
                       const Progress& progress) {
    if (effort.exact || dense_ || slack_used_ || at.objective > strained) return false;
    if (gained < chordal * progress.promised || progress.promised > last_lap * at.objective) return false;
    for (int k = 0; k < derivatives_.near_count; ++k) {
        if (rows_[k].multiplier > 0 && problem.is_support(derivatives_.near_index[k])) return false;
    }
    problem.objective_gradient(at, derivatives_.gradient);
    for (int k = 0; k < derivatives_.near_count; ++k) {
        if (rows_[k].multiplier > 0)
            problem.row_gradient(at, derivatives_.near_index[k], derivatives_.near_row + k * stride_);
    }
    light_ = true;
    return true;
}

void Descent::differentiate(const Problem& problem, Point& at) {
    light_ = factored_ = false;
    problem.differentiate(at, derivatives_, window);
    problem.add_curves(at, row_multiplier_, derivatives_);
}

/// One step further from the trial with the derivatives at hand, which saves new ones (the chord method). True
/// where it gained; then the answer is at its end.
bool Descent::step_on(const Problem& problem, Answer& answer) {
    if (dense_ || slack_used_) return false;
    const Point& from = *trial_;
    double gradient[most_variables];
    problem.gradient(from, derivatives_, gradient);
    set_bounds(problem, from);
    for (int k = 0; k < derivatives_.near_count; ++k)
        rows_[k].least = -from.row[derivatives_.near_index[k]];
    if (!step_without_slack(problem, gradient)) return false;
    Point& to = *answer.at;
    place(problem, from, to);
    if (!(merit(to) < merit(from))) return false;
    follow_multipliers(problem);
    return true;
}

/// Largest product of a multiplier and its row's gap; a support row's gap is to the slack.
double Descent::complementarity(const Problem& problem, const Point& e) const {
    const double slack = slack_used_ ? problem.support_violation(e) / problem.support_unit() : 0.0;
    double worst = 0;
    for (int k = 0; k < derivatives_.near_count; ++k) {
        const int row = derivatives_.near_index[k];
        const double gap = e.row[row] + (problem.is_support(row) ? slack : 0.0);
        worst = std::max(worst, std::fabs(row_multiplier_[row] * gap));
    }
    for (int i = 0; i < problem.size(); ++i) {
        const double m = bound_multiplier_[i];
        if (m == 0 || !is_own_bound(i)) continue;
        worst = std::max(
            worst, std::fabs(m * (m > 0 ? e.y[i] - problem.lowest()[i] : problem.highest()[i] - e.y[i])));
    }
    return worst;
}

/// The proof, with the derivatives and multipliers of the last step: an exact descent's are at the answer, an
/// ordinary one's a step before it.
void Descent::prove(const Problem& problem, Answer& answer) const {
    const Point& e = *answer.at;
    answer.violation = problem.hard_violation(e);
    answer.slack = problem.support_violation(e);
    const double unit = 1.0 + largest_multiplier(problem);
    double gradient[most_variables];
    answer.stationarity = lagrangian_gradient(problem, gradient) / unit;
    answer.complementarity = complementarity(problem, e) / unit;
    for (int k = 0; k < 2; ++k)
        std::copy(derivatives_.aside[k], derivatives_.aside[k] + problem.size(), answer.aside[k]);
    answer.active_count = 0;
    for (int k = 0; k < derivatives_.near_count; ++k) {
        const double m = row_multiplier_[derivatives_.near_index[k]];
        if (m != 0) answer.active[answer.active_count++] = {derivatives_.near_index[k], m};
    }
    for (int i = 0; i < problem.size(); ++i) {
        const double m = bound_multiplier_[i];
        if (m != 0 && is_own_bound(i)) answer.active[answer.active_count++] = {-1 - i, m};
    }
}

} // namespace aplomb
