// SPDX-License-Identifier: MIT
// Times of a correction, and how many plain passes (plain_pass.h) over the same figure one costs.
#include <benchmark/benchmark.h>
#include <time.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <initializer_list>
#include <map>

#include "aplomb/foot.h"
#include "plain_pass.h"
#include "scenes.h"

namespace {

using bench::input_count;
using bench::PlainPass;
using bench::Scene;

constexpr int32_t figure_sizes[] = {22, 60, 300};
constexpr size_t solve_count = 1000000; // of which the slowest is looked for

/// One figure with the memory that a correction writes to.
struct Subject {
    explicit Subject(int32_t joints)
        : scene(joints), plain(scene.figure.get()), translations(3 * static_cast<size_t>(joints)),
          rotations(4 * static_cast<size_t>(joints)) {
        aplomb_result_init(&result, sizeof result);
        aplomb_reading_init(&reading, sizeof reading);
        aplomb_foot_suggestion_init(&foot, sizeof foot);
        aplomb_options_init(&without_heft, sizeof without_heft);
        without_heft.heft = 0;
    }

    aplomb_status solve(size_t pose, const aplomb_load& load, const aplomb_options* options = nullptr) {
        const aplomb_situation situation = scene.situation(pose, load);
        return aplomb_balance(scene.solver.get(), &situation, options, translations.data(), rotations.data(),
                              &result, nullptr);
    }

    aplomb_status suggest(size_t pose) {
        const aplomb_situation situation = scene.situation(pose, scene.heavy_load);
        return aplomb_suggest_foot(scene.solver.get(), &situation, nullptr, nullptr, nullptr, &foot, nullptr);
    }

    aplomb_status read(size_t pose) {
        const aplomb_situation situation = scene.situation(pose, scene.loads[pose]);
        return aplomb_read(scene.solver.get(), &situation, nullptr, &reading, nullptr);
    }

    Scene scene;
    PlainPass plain;
    std::vector<double> translations, rotations;
    aplomb_options without_heft;
    aplomb_result result;
    aplomb_reading reading;
    aplomb_foot_suggestion foot;
};

// ---- Checks before timing --------------------------------------------------------------------------------

bool centre_is_right(Subject& subject, size_t pose) {
    const lay::Pose& keyed = subject.scene.poses[pose];
    const aplomb_situation situation = keyed.situation();
    aplomb_reading reading;
    aplomb_reading_init(&reading, sizeof reading);
    if (aplomb_read(subject.scene.solver.get(), &situation, nullptr, &reading, nullptr)) return false;
    subject.plain.run(keyed.translations.data(), keyed.rotations.data());
    return (subject.plain.centre() - Eigen::Map<const Eigen::Vector3d>(reading.body_centre)).norm() < 1e-12;
}

/// Against central differences.
bool jacobian_is_right(Subject& subject, size_t pose) {
    constexpr double step = 1e-5;
    lay::Pose moved = subject.scene.poses[pose];
    subject.plain.run(moved.translations.data(), moved.rotations.data());
    const std::vector<Eigen::Matrix3d> jacobian = subject.plain.jacobian();
    for (size_t j = 0; j < jacobian.size(); ++j) {
        Eigen::Map<Eigen::Quaterniond> turn(&moved.rotations[4 * j]);
        const Eigen::Quaterniond keyed = turn;
        for (int k = 0; k < 3; ++k) {
            Eigen::Vector3d end[2];
            for (int side = 0; side < 2; ++side) {
                const double angle = side ? step : -step;
                turn = keyed * Eigen::Quaterniond(Eigen::AngleAxisd(angle, Eigen::Vector3d::Unit(k)));
                subject.plain.run(moved.translations.data(), moved.rotations.data());
                end[side] = subject.plain.centre();
            }
            turn = keyed;
            if (((end[1] - end[0]) / (2 * step) - jacobian[j].col(k)).norm() > 1e-8) return false;
        }
    }
    return true;
}

int suggested_feet(Subject& subject) {
    int found = 0;
    for (size_t pose = 0; pose < input_count; ++pose)
        found += subject.suggest(pose) == APLOMB_OK && subject.foot.found;
    return found;
}

/// Every input must be a real problem that is solved.
bool inputs_are_solved(Subject& subject) {
    int iterations = 0, starts = 0;
    for (size_t i = 0; i < input_count; ++i) {
        for (const auto& [pose, load] :
             {std::pair(i, subject.scene.loads[i]), std::pair(size_t(0), subject.scene.other_loads[i])}) {
            if (subject.solve(pose, load) != APLOMB_OK || !subject.result.changed) return false;
            iterations += subject.result.iterations;
            starts += subject.result.starts;
        }
    }
    constexpr double solves = 2.0 * input_count;
    std::printf("%3d joints: %.2f starts and %.1f iterations a solve, %zu bytes a solver\n",
                subject.scene.shape.count(), starts / solves, iterations / solves,
                aplomb_solver_size(subject.scene.figure.get()));
    return true;
}

bool is_right(Subject& subject) {
    for (size_t pose = 0; pose < input_count; ++pose) {
        if (!centre_is_right(subject, pose)) return std::puts("The plain pass has another centre."), false;
    }
    if (!jacobian_is_right(subject, 0)) return std::puts("The plain pass has a wrong Jacobian."), false;
    if (!inputs_are_solved(subject)) return std::puts("An input is not solved."), false;
    const int feet = suggested_feet(subject);
    std::printf("            a foot suggested under %d of %zu heavy boxes\n", feet, input_count);
    if (feet == 0) return std::puts("No heavy box asks for a foot."), false;
    return true;
}

// ---- Timing ----------------------------------------------------------------------------------------------

void run_plain(benchmark::State& state, Subject& subject) {
    size_t i = 0;
    for (auto _ : state) {
        const lay::Pose& pose = subject.scene.poses[i++ % input_count];
        subject.plain.run(pose.translations.data(), pose.rotations.data());
        benchmark::DoNotOptimize(subject.plain.jacobian().data());
        benchmark::ClobberMemory();
    }
}

void run_cold(benchmark::State& state, Subject& subject) {
    size_t i = 0;
    for (auto _ : state) {
        const size_t pose = i++ % input_count;
        benchmark::DoNotOptimize(subject.solve(pose, subject.scene.loads[pose]));
    }
}

void run_without_heft(benchmark::State& state, Subject& subject) {
    size_t i = 0;
    for (auto _ : state) {
        const size_t pose = i++ % input_count;
        benchmark::DoNotOptimize(subject.solve(pose, subject.scene.loads[pose], &subject.without_heft));
    }
}

void run_other_load(benchmark::State& state, Subject& subject) {
    size_t i = 0;
    for (auto _ : state)
        benchmark::DoNotOptimize(subject.solve(0, subject.scene.other_loads[i++ % input_count]));
}

void run_read(benchmark::State& state, Subject& subject) {
    size_t i = 0;
    for (auto _ : state)
        benchmark::DoNotOptimize(subject.read(i++ % input_count));
}

void run_foot(benchmark::State& state, Subject& subject) {
    size_t i = 0;
    for (auto _ : state)
        benchmark::DoNotOptimize(subject.suggest(i++ % input_count));
}

/// Processor time of this thread in microseconds: other programs do not count.
double thread_time() {
    timespec now;
    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
    return 1e6 * static_cast<double>(now.tv_sec) + 1e-3 * static_cast<double>(now.tv_nsec);
}

/// Microseconds of single solves, reading the clock included.
struct Spread {
    double most_of_all = 0; // 99 in 100 stay within
    double worst = 0;
};

Spread spread_of(Subject& subject) {
    std::vector<double> times;
    for (size_t i = 0; i < solve_count; ++i) {
        const double start = thread_time();
        subject.solve(i % input_count, subject.scene.loads[i % input_count]);
        times.push_back(thread_time() - start);
    }
    std::sort(times.begin(), times.end());
    return {times[solve_count / 100 * 99], times.back()};
}

/// Prints as usual and keeps the medians, in microseconds of processor time.
class Medians : public benchmark::ConsoleReporter {
public:
    void ReportRuns(const std::vector<Run>& runs) override {
        for (const Run& run : runs) {
            if (run.aggregate_name == "median") of[run.run_name.function_name] = run.GetAdjustedCPUTime();
        }
        ConsoleReporter::ReportRuns(runs);
    }
    std::map<std::string, double> of;
};

std::string name_of(const char* what, int32_t joints) {
    return std::string(what) + ", " + std::to_string(joints) + " joints";
}

void add(const char* what, void (*run)(benchmark::State&, Subject&), Subject& subject) {
    benchmark::RegisterBenchmark(name_of(what, subject.scene.shape.count()).c_str(),
                                 [run, &subject](benchmark::State& state) { run(state, subject); })
        ->Unit(benchmark::kMicrosecond);
}

void print_rows(const Medians& medians, Subject& subject) {
    const int32_t joints = subject.scene.shape.count();
    const auto median = [&](const char* what) {
        const auto found = medians.of.find(name_of(what, joints));
        return found == medians.of.end() ? std::nan("") : found->second;
    };
    const double plain = median("plain pass");
    const Spread spread = spread_of(subject);
    std::printf("%d joints, one plain pass %.3f us:\n", joints, plain);
    for (const char* what : {"solve", "solve at heft 0", "another load", "reading", "foot suggested"})
        std::printf("  %-16s %10.2f us %9.1f x\n", what, median(what), median(what) / plain);
    std::printf("  %-16s %10.2f us %9.1f x\n  %-16s %10.2f us %9.1f x\n", "99 % of solves",
                spread.most_of_all, spread.most_of_all / plain, "slowest solve", spread.worst,
                spread.worst / plain);
}

} // namespace

int main(int argc, char** argv) {
    benchmark::Initialize(&argc, argv);
    std::vector<std::unique_ptr<Subject>> subjects;
    for (const int32_t joints : figure_sizes) {
        subjects.push_back(std::make_unique<Subject>(joints));
        if (!is_right(*subjects.back())) return 1;
        add("plain pass", run_plain, *subjects.back());
        add("solve", run_cold, *subjects.back());
        add("solve at heft 0", run_without_heft, *subjects.back());
        add("another load", run_other_load, *subjects.back());
        add("reading", run_read, *subjects.back());
        add("foot suggested", run_foot, *subjects.back());
    }
    Medians medians;
    benchmark::RunSpecifiedBenchmarks(&medians);
    std::puts("\nMedians of processor time, what 99 in 100 of a million single solves stay within, and the "
              "slowest of "
              "them;\nx: the same in plain passes.");
    for (const auto& subject : subjects)
        print_rows(medians, *subject);
    return 0;
}
