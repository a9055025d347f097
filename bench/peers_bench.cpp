// SPDX-License-Identifier: MIT
// The same pose problems by general-purpose optimizers: what a solver of its own is worth. NLopt, Ceres Solver
// and IPOPT in the library's own reduced space with its derivatives, and IPOPT with the Lagrangian's Hessian in
// the full space of tests/oracle. The peers start where ours does; their times leave out setting up the problem,
// ours is the whole call. Usage: peers_bench [how many cases of each kind] | peers_bench sizes
#include <ceres/ceres.h>
#include <time.h>

#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <cstring>

#include "oracle/cases.h"
#include "oracle/ipopt_run.h"
#include "oracle/slsqp.h"
#include "plain_pass.h"
#include "scenes.h"

namespace {

// Of steps and gradients in the peers' own terms; ours ends within 0.1 % of the cost. Where it ends a step promises less
// than `our_gain` of the cost: NLopt and Ceres Solver are stopped there, too, by the gain of a step.
constexpr double accuracy = 1e-4, row_accuracy = 1e-5, our_gain = 1e-4;
constexpr double held = 1e-6;     // metres or radians
constexpr double near_window = 3; // in the rows' own units
constexpr int repetitions = 3;

struct Outcome {
    double microseconds = 0;
    double cost = std::numeric_limits<double>::infinity(); // infinite where a row does not hold
};

/// Processor time of this thread in microseconds: other programs do not count.
double now() {
    timespec time;
    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &time);
    return 1e6 * static_cast<double>(time.tv_sec) + 1e-3 * static_cast<double>(time.tv_nsec);
}

double median(std::vector<double> values) {
    if (values.empty()) return std::nan("");
    std::nth_element(values.begin(), values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2),
                     values.end());
    return values[values.size() / 2];
}

/// Times `solve`, which returns where it ended.
template<class Solve>
Outcome timed(oracle::ReducedSpace& space, Solve&& solve) {
    std::vector<double> times, y;
    for (int i = 0; i < repetitions; ++i) {
        const double begin = now();
        y = solve();
        times.push_back(now() - begin);
    }
    Outcome outcome{median(times)};
    if (y.empty()) return outcome;
    space.move(y.data());
    if (space.is_feasible(held)) outcome.cost = space.cost();
    return outcome;
}

// ---- Ceres Solver: residuals are the square roots of the problem, rows an augmented Lagrangian ----

/// Cost 1/2 |y - y^|^2 + 1/2 |residuals|^2 as the problem has it, and max(0, m / w - w c) / sqrt of each row.
class Blocks : public ceres::CostFunction {
public:
    Blocks(oracle::ReducedSpace& space, const std::vector<double>& multiplier, const double& weight)
        : space_(space), multiplier_(multiplier), weight_(weight) {
        mutable_parameter_block_sizes()->push_back(static_cast<int>(space.size()));
        set_num_residuals(static_cast<int>(space.size() + space.residual_count() + space.row_count()));
    }
    bool Evaluate(double const* const* parameters, double* residuals, double** jacobians) const override {
        const size_t n = space_.size();
        double* const jacobian = jacobians ? jacobians[0] : nullptr;
        space_.move(parameters[0]);
        space_.residuals(residuals, jacobian);
        const size_t first = n + space_.residual_count();
        for (size_t k = 0; k < space_.row_count(); ++k) {
            // 1/2 w (max(0, m / w - c))^2
            const double root = std::sqrt(weight_), short_of = multiplier_[k] / weight_ - space_.row(k);
            residuals[first + k] = root * std::max(0.0, short_of);
            if (!jacobian) continue;
            double* out = jacobian + (first + k) * n;
            std::fill(out, out + n, 0.0);
            if (short_of <= 0) continue;
            space_.row_gradient(k, out);
            for (size_t i = 0; i < n; ++i)
                out[i] *= -root;
        }
        return true;
    }

private:
    oracle::ReducedSpace& space_;
    const std::vector<double>& multiplier_;
    const double& weight_;
};

std::vector<double> solve_by_ceres(oracle::ReducedSpace& space, std::vector<double> y, double least_gain) {
    std::vector<double> multiplier(space.row_count(), 0.0);
    double weight = 1e2;
    ceres::Problem problem;
    problem.AddResidualBlock(new Blocks(space, multiplier, weight), nullptr, y.data());
    for (size_t k = 0; k < space.size(); ++k) {
        if (std::isfinite(space.lowest(k)))
            problem.SetParameterLowerBound(y.data(), static_cast<int>(k), space.lowest(k));
        if (std::isfinite(space.highest(k)))
            problem.SetParameterUpperBound(y.data(), static_cast<int>(k), space.highest(k));
    }
    ceres::Solver::Options options;
    options.linear_solver_type = ceres::DENSE_QR;
    options.max_num_iterations = 100;
    options.function_tolerance = least_gain;
    options.parameter_tolerance = options.gradient_tolerance = accuracy;
    options.logging_type = ceres::SILENT;
    for (int round = 0; round < 12; ++round) {
        ceres::Solver::Summary summary;
        ceres::Solve(options, &problem, &summary);
        space.move(y.data());
        double worst = 0;
        for (size_t k = 0; k < space.row_count(); ++k) {
            worst = std::max(worst, std::min(-space.row(k), 1.0));
            multiplier[k] = std::max(0.0, multiplier[k] - weight * space.row(k));
        }
        if (worst < row_accuracy) break;
        weight *= 4;
    }
    return y;
}

// ---- IPOPT, full space ----

Outcome solve_full(const full_space::FullProblem& problem) {
    full_space::Effort effort;
    effort.tolerance = accuracy;
    const std::vector<double> start = problem.start({0, 0, 0});
    std::vector<double> times;
    full_space::Found found;
    for (int i = 0; i < repetitions; ++i) {
        const double begin = now();
        found = run_ipopt(problem, start, effort);
        times.push_back(now() - begin);
    }
    const full_space::Violation& v = found.violation;
    Outcome outcome{median(times)};
    if (std::max({v.ends, v.limits, v.support}) <= held) outcome.cost = found.objective;
    return outcome;
}

// ---- The table ----

constexpr const char* names[] = {
    "ours", "NLopt SLSQP", "Ceres Solver", "IPOPT, full space", "SLSQP, our gain", "Ceres, our gain"};
constexpr size_t solver_count = std::size(names), plotted_count = 4;

using Row = std::array<Outcome, solver_count>;

double time_ours(const own::Character& character, const own::Moment& moment) {
    std::vector<double> times, translations(moment.translations.size()), rotations(moment.rotations.size());
    const aplomb_situation situation = moment.situation();
    for (int k = 0; k < 5 * repetitions; ++k) {
        const double begin = now();
        aplomb_balance(character.solver.get(), &situation, &moment.options, translations.data(),
                       rotations.data(), nullptr, nullptr);
        times.push_back(now() - begin);
    }
    return median(times);
}

/// False where there is nothing to solve, or not the same problem in both spaces.
bool run_all(const own::Character& character, const full_space::Subject& subject, const own::Moment& moment,
             Row& row) {
    const own::Answer answer = own::balance(character, moment); // warm
    const own::World keyed = character.bones.world(moment.translations.data(), moment.rotations.data());
    if (answer.status != APLOMB_OK || !answer.result.changed) return false;
    const own::Inside inside(character, moment);
    const full_space::FullProblem full(subject, moment, own::read(character, moment), inside);
    if (!full.left_out().empty() || !full.held_feet_stayed(keyed, answer.world)) return false;
    row[0] = {time_ours(character, moment), answer.result.objective};

    oracle::ReducedSpace space(inside);
    space.set_normals(inside.support.area.normal);
    std::vector<double> all(static_cast<size_t>(inside.size()));
    inside.problem.start(all.data());
    const std::vector<double> start = space.pick(all.data());
    row[2] = timed(space, [&] { return solve_by_ceres(space, start, accuracy * accuracy); });
    row[5] = timed(space, [&] { return solve_by_ceres(space, start, our_gain); });
    row[3] = solve_full(full);
    space.keep_near_rows(start, near_window);
    row[1] =
        timed(space, [&] { return oracle::Slsqp(space, held).run(start, accuracy, 1e-2 * accuracy, 300).y; });
    row[4] = timed(space, [&] { return oracle::Slsqp(space, held).run(start, accuracy, our_gain, 300).y; });
    return true;
}

std::vector<double> times_of(const std::vector<Row>& rows, size_t solver) {
    std::vector<double> times;
    for (const Row& row : rows)
        times.push_back(row[solver].microseconds);
    return times;
}

void print_table(const char* title, const std::vector<Row>& rows) {
    std::printf("\n%s: %zu cases\n%-20s %10s %10s %10s %12s %8s\n", title, rows.size(), "", "rows hold",
                "median", "worst", "us", "x ours");
    const double ours = median(times_of(rows, 0));
    for (size_t solver = 0; solver < solver_count; ++solver) {
        std::vector<double> ratios;
        for (const Row& row : rows) {
            double best = row[0].cost;
            for (const Outcome& outcome : row)
                best = std::min(best, outcome.cost);
            if (std::isfinite(row[solver].cost)) ratios.push_back((row[solver].cost + 1e-6) / (best + 1e-6));
        }
        const double worst = ratios.empty() ? std::nan("") : *std::max_element(ratios.begin(), ratios.end());
        const double time = median(times_of(rows, solver));
        std::printf("%-20s %6zu/%-3zu %10.4f %10.4f %12.1f %8.1f\n", names[solver], ratios.size(),
                    rows.size(), median(ratios), worst, time, time / ours);
    }
}

own::Moment carried_box(const bench::Scene& scene, size_t i) {
    own::Moment moment(scene.poses[i]);
    moment.contacts = {aplomb_contact_make(0, APLOMB_BEARING), aplomb_contact_make(1, APLOMB_BEARING)};
    moment.loads.push_back(scene.loads[i]);
    moment.options.free |= APLOMB_FREE_SWIVEL;
    return moment;
}

std::vector<Row> easy_rows(int32_t joints, size_t count) {
    const bench::Scene scene(joints);
    const own::Character character(bench::figure_of(joints));
    const full_space::Subject subject(character.figure.get());
    std::vector<Row> rows;
    for (size_t i = 0; i < std::min(count, bench::input_count); ++i) {
        Row row;
        if (run_all(character, subject, carried_box(scene, i), row)) rows.push_back(row);
    }
    return rows;
}

std::vector<Row> hard_rows(size_t count) {
    const own::Company company;
    std::vector<Row> rows;
    for (size_t figure = 0; figure < own::Company::size; ++figure) {
        const full_space::Subject subject(company[figure].figure.get());
        for (uint64_t seed = 1; seed <= count; ++seed) {
            Row row;
            if (run_all(company[figure], subject, full_space::corpus_moment(company, figure, seed), row))
                rows.push_back(row);
        }
    }
    return rows;
}

/// Median microseconds of a plain pass (plain_pass.h), a thousand at a time.
double time_plain_pass(int32_t joints) {
    const bench::Scene scene(joints);
    bench::PlainPass plain(scene.figure.get());
    std::vector<double> times;
    for (int k = 0; k < 11; ++k) {
        const double begin = now();
        for (size_t i = 0; i < 1000; ++i) {
            const lay::Pose& pose = scene.poses[i % bench::input_count];
            plain.run(pose.translations.data(), pose.rotations.data());
        }
        times.push_back((now() - begin) / 1000);
    }
    return median(times);
}

/// For bench/plot.py.
void print_sizes() {
    std::printf("joints,plain pass");
    for (size_t solver = 0; solver < plotted_count; ++solver)
        std::printf(",\"%s\"", names[solver]);
    for (const int32_t joints : {22, 60, 120, 300, 1000}) {
        std::printf("\n%d,%.4g", joints, time_plain_pass(joints));
        const std::vector<Row> rows = easy_rows(joints, 16);
        for (size_t solver = 0; solver < plotted_count; ++solver)
            std::printf(",%.4g", median(times_of(rows, solver)));
        std::fflush(stdout);
    }
    std::puts("");
}

} // namespace

int main(int argc, char** argv) {
    setenv("OPENBLAS_NUM_THREADS", "1", 1); // of no use at this size, and time is that of one thread
    setenv("OMP_NUM_THREADS", "1", 1);
    if (argc > 1 && std::strcmp(argv[1], "sizes") == 0) return print_sizes(), 0;
    const size_t count = argc > 1 ? std::strtoull(argv[1], nullptr, 10) : 40;
    std::puts("Cost over the best of all, where all rows hold to 1e-6; median time of a solve.");
    print_table("60 joints, a box of 15 kg", easy_rows(60, count));
    print_table("Random: four figures, 0 to 130 kg, any stance and options", hard_rows(count));
    return 0;
}
