// SPDX-License-Identifier: MIT
// Crowds: what a character costs among 10 to 10,000, each with a pose and an answer of its own, on one thread and on
// two; with a solver each, with solvers that many share, and stepping from frame to frame with a state each and a solver
// for each thread. What a second thread brings at most on the machine at hand is measured beside it: plain passes that
// share nothing but poses. Where others use the machine, too, the clock says little; the tasks' own processor time shows
// whether two threads are in each other's way.
#include <benchmark/benchmark.h>

#include <atomic>
#include <cstdio>
#include <ctime>
#include <map>

#include "plain_pass.h"
#include "scenes.h"

namespace {

using bench::input_count;
using bench::Scene;

constexpr int32_t joint_count = 22;
constexpr int32_t sizes[] = {10, 100, 1000, 10000};
constexpr int32_t thread_counts[] = {1, 2};

constexpr size_t most_sharing = 50;

enum class Mode { apart, sharing, stepping };
constexpr Mode modes[] = {Mode::apart, Mode::sharing, Mode::stepping};

int64_t thread_nanoseconds() {
    timespec now;
    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
    return 1000000000 * static_cast<int64_t>(now.tv_sec) + now.tv_nsec;
}

/// Runs tasks on threads and adds up the processor time that they take.
struct TimedThreads {
    int32_t threads;
    std::atomic<int64_t> nanoseconds{0};

    static void run(aplomb_task task, void* work, int32_t count, void* user) {
        TimedThreads& self = *static_cast<TimedThreads*>(user);
        Tasks tasks{self, task, work};
        aplomb_run_on_threads(
            [](void* all, int32_t i) {
                Tasks& t = *static_cast<Tasks*>(all);
                const int64_t start = thread_nanoseconds();
                t.task(t.work, i);
                t.of.nanoseconds += thread_nanoseconds() - start;
            },
            &tasks, count, &self.threads);
    }

private:
    struct Tasks {
        TimedThreads& of;
        aplomb_task task;
        void* work;
    };
};

class Crowd {
public:
    Crowd(const Scene& scene, int32_t size, Mode mode)
        : scene_(scene), mode_(mode),
          sharing_(mode == Mode::apart     ? 1
                   : mode == Mode::sharing ? std::min(static_cast<size_t>(size) / 2, most_sharing)
                                           : static_cast<size_t>(size) / 2) {
        const size_t count = static_cast<size_t>(size), joints = joint_count;
        states_.resize(mode == Mode::stepping ? count : 0);
        aplomb_frame_init(&frame_, sizeof frame_);
        frame_.seconds = 1.0 / 60;
        situations_.resize(count), results_.resize(count), jobs_.resize(count);
        translations_.resize(3 * joints * count), rotations_.resize(4 * joints * count);
        for (size_t i = 0; i < count; ++i)
            add(i);
    }

    void solve(int32_t threads) {
        aplomb_balance_many(jobs_.data(), static_cast<int32_t>(jobs_.size()), aplomb_run_on_threads, &threads,
                            nullptr);
    }
    /// Microseconds a character.
    double processor_time(int32_t threads) {
        constexpr int rounds = 20;
        TimedThreads timed{threads};
        for (int k = 0; k < rounds; ++k)
            aplomb_balance_many(jobs_.data(), static_cast<int32_t>(jobs_.size()), TimedThreads::run, &timed,
                                nullptr);
        return 1e-3 * static_cast<double>(timed.nanoseconds) / (rounds * static_cast<double>(jobs_.size()));
    }
    bool is_solved() const {
        for (size_t i = 0; i < jobs_.size(); ++i) {
            if (jobs_[i].status != APLOMB_OK || !results_[i].changed) return false;
        }
        return true;
    }

private:
    void add(size_t i) {
        if (i % sharing_ == 0) {
            aplomb_solver* solver = nullptr;
            if (aplomb_solver_create(scene_.figure.get(), nullptr, &solver, nullptr))
                throw std::runtime_error("no solver");
            solvers_.emplace_back(solver);
        }
        situations_[i] = scene_.situation(i % input_count, scene_.loads[i % input_count]);
        aplomb_result_init(&results_[i], sizeof results_[i]);
        aplomb_job& job = jobs_[i];
        job = {};
        if (mode_ == Mode::stepping) job.state = &states_[i], job.frame = &frame_;
        job.solver = solvers_.back().get(), job.situation = &situations_[i], job.result = &results_[i];
        job.translations = &translations_[3 * joint_count * i],
        job.rotations = &rotations_[4 * joint_count * i];
    }

    const Scene& scene_;
    const Mode mode_;
    const size_t sharing_; // characters to a solver
    std::vector<aplomb_step_state> states_;
    aplomb_frame frame_;
    std::vector<std::unique_ptr<aplomb_solver, bench::DestroySolver>> solvers_;
    std::vector<aplomb_situation> situations_;
    std::vector<aplomb_result> results_;
    std::vector<aplomb_job> jobs_;
    std::vector<double> translations_, rotations_;
};

/// Pieces of work that stay in a core's own cache.
class Passes {
public:
    explicit Passes(const Scene& scene)
        : scene_(scene), passes_(count, bench::PlainPass(scene.figure.get())) {}

    void run(int32_t threads) {
        aplomb_run_on_threads(
            [](void* work, int32_t i) { static_cast<Passes*>(work)->run_piece(static_cast<size_t>(i)); },
            this, count, &threads);
    }

private:
    static constexpr int32_t count = 256, rounds = 64;

    void run_piece(size_t i) {
        const lay::Pose& pose = scene_.poses[i % input_count];
        for (int32_t k = 0; k < rounds; ++k)
            passes_[i].run(pose.translations.data(), pose.rotations.data());
        benchmark::DoNotOptimize(passes_[i].centre());
    }

    const Scene& scene_;
    std::vector<bench::PlainPass> passes_;
};

std::string name_of_passes(int32_t threads) {
    return "plain passes, " + std::to_string(threads) + (threads == 1 ? " thread" : " threads");
}

std::string name_of(int32_t size, Mode mode, int32_t threads) {
    const char* words[] = {" characters, ", " sharing, ", " stepping, "};
    return std::to_string(size) + words[static_cast<int>(mode)] + std::to_string(threads) +
           (threads == 1 ? " thread" : " threads");
}

/// Prints as usual and keeps the medians, in microseconds by the clock.
class Medians : public benchmark::ConsoleReporter {
public:
    void ReportRuns(const std::vector<Run>& runs) override {
        for (const Run& run : runs) {
            if (run.aggregate_name == "median") of[run.run_name.function_name] = run.GetAdjustedRealTime();
        }
        ConsoleReporter::ReportRuns(runs);
    }
    std::map<std::string, double> of;
};

} // namespace

int main(int argc, char** argv) {
    benchmark::Initialize(&argc, argv);
    const Scene scene(joint_count);
    std::vector<std::unique_ptr<Crowd>> crowds;
    for (const Mode mode : modes) {
        for (const int32_t size : sizes) {
            crowds.push_back(std::make_unique<Crowd>(scene, size, mode));
            Crowd& crowd = *crowds.back();
            crowd.solve(2);
            if (!crowd.is_solved()) return std::puts("A character is not solved."), 1;
            for (const int32_t threads : thread_counts)
                benchmark::RegisterBenchmark(name_of(size, mode, threads).c_str(),
                                             [&crowd, threads](benchmark::State& state) {
                                                 for (auto _ : state)
                                                     crowd.solve(threads);
                                             })
                    ->Unit(benchmark::kMicrosecond)
                    ->UseRealTime();
        }
    }
    Passes passes(scene);
    for (const int32_t threads : thread_counts)
        benchmark::RegisterBenchmark(name_of_passes(threads).c_str(),
                                     [&passes, threads](benchmark::State& state) {
                                         for (auto _ : state)
                                             passes.run(threads);
                                     })
            ->Unit(benchmark::kMicrosecond)
            ->UseRealTime();
    Medians medians;
    benchmark::RunSpecifiedBenchmarks(&medians);
    const char* titles[] = {"a solver each", "up to 50 to a solver",
                            "a frame of aplomb_step, a solver for each thread"};
    for (const Mode mode : modes) {
        std::printf("\nMedians by the clock, us a character, %s, and what a second thread brings;\n"
                    "the tasks' processor time, us a character.\n"
                    "characters   1 thread  2 threads   faster   1 thread  2 threads\n",
                    titles[static_cast<int>(mode)]);
        for (size_t i = 0; i < std::size(sizes); ++i) {
            const int32_t size = sizes[i];
            Crowd& crowd = *crowds[static_cast<size_t>(mode) * std::size(sizes) + i];
            const double one = medians.of[name_of(size, mode, 1)] / size,
                         two = medians.of[name_of(size, mode, 2)] / size;
            std::printf("%10d %10.2f %10.2f %7.2fx %10.2f %10.2f\n", size, one, two, one / two,
                        crowd.processor_time(1), crowd.processor_time(2));
        }
    }
    std::printf("A second thread makes plain passes, which share nothing, %.2fx faster on this machine.\n",
                medians.of[name_of_passes(1)] / medians.of[name_of_passes(2)]);
    return 0;
}
