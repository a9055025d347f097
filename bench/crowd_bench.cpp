// SPDX-License-Identifier: MIT
// Crowds: what a character costs among 10 to 10,000, each with a solver, a pose and an answer of its own, on one
// thread and on two.
#include <benchmark/benchmark.h>

#include <cstdio>
#include <map>

#include "scenes.h"

namespace {

using bench::input_count;
using bench::Scene;

constexpr int32_t joint_count = 22;
constexpr int32_t sizes[] = {10, 100, 1000, 10000};
constexpr int32_t thread_counts[] = {1, 2};

class Crowd {
public:
    Crowd(const Scene& scene, int32_t size) : scene_(scene) {
        const size_t count = static_cast<size_t>(size), joints = joint_count;
        solvers_.resize(count), situations_.resize(count), results_.resize(count), jobs_.resize(count);
        translations_.resize(3 * joints * count), rotations_.resize(4 * joints * count);
        for (size_t i = 0; i < count; ++i)
            add(i);
    }

    void solve(int32_t threads) {
        aplomb_balance_many(jobs_.data(), static_cast<int32_t>(jobs_.size()), aplomb_run_on_threads, &threads,
                            nullptr);
    }
    bool is_solved() const {
        for (size_t i = 0; i < jobs_.size(); ++i) {
            if (jobs_[i].status != APLOMB_OK || !results_[i].changed) return false;
        }
        return true;
    }

private:
    void add(size_t i) {
        aplomb_solver* solver = nullptr;
        if (aplomb_solver_create(scene_.figure.get(), nullptr, &solver, nullptr))
            throw std::runtime_error("no solver");
        solvers_[i].reset(solver);
        situations_[i] = scene_.situation(i % input_count, scene_.loads[i % input_count]);
        aplomb_result_init(&results_[i], sizeof results_[i]);
        aplomb_job& job = jobs_[i];
        job = {};
        job.solver = solver, job.situation = &situations_[i], job.result = &results_[i];
        job.translations = &translations_[3 * joint_count * i],
        job.rotations = &rotations_[4 * joint_count * i];
    }

    const Scene& scene_;
    std::vector<std::unique_ptr<aplomb_solver, bench::DestroySolver>> solvers_;
    std::vector<aplomb_situation> situations_;
    std::vector<aplomb_result> results_;
    std::vector<aplomb_job> jobs_;
    std::vector<double> translations_, rotations_;
};

std::string name_of(int32_t size, int32_t threads) {
    return std::to_string(size) + " characters, " + std::to_string(threads) +
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
    for (const int32_t size : sizes) {
        crowds.push_back(std::make_unique<Crowd>(scene, size));
        Crowd& crowd = *crowds.back();
        crowd.solve(2);
        if (!crowd.is_solved()) return std::puts("A character is not solved."), 1;
        for (const int32_t threads : thread_counts)
            benchmark::RegisterBenchmark(name_of(size, threads).c_str(),
                                         [&crowd, threads](benchmark::State& state) {
                                             for (auto _ : state)
                                                 crowd.solve(threads);
                                         })
                ->Unit(benchmark::kMicrosecond)
                ->UseRealTime();
    }
    Medians medians;
    benchmark::RunSpecifiedBenchmarks(&medians);
    std::puts("\nMedians by the clock, us a character, and what a second thread brings.\n"
              "characters   1 thread  2 threads   faster");
    for (const int32_t size : sizes) {
        const double one = medians.of[name_of(size, 1)] / size, two = medians.of[name_of(size, 2)] / size;
        std::printf("%10d %10.2f %10.2f %7.2fx\n", size, one, two, one / two);
    }
    return 0;
}
