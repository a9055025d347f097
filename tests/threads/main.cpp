// SPDX-License-Identifier: MIT
// Many solvers on one figure, on threads of all kinds, against one thread: the same bits. run.sh builds it with
// ThreadSanitizer, which says what two threads touch at once.
#include <atomic>
#include <cmath>
#include <cstdio>
#include <cstring>
#include <memory>
#include <thread>
#include <vector>

#include "poses.h"

namespace {

constexpr int moments = 48, threads = 4, frames = 4;

struct DestroySolver {
    void operator()(aplomb_solver* solver) const { aplomb_solver_destroy(solver); }
};
using Solver = std::unique_ptr<aplomb_solver, DestroySolver>;

Solver make_solver(const aplomb_figure* figure) {
    aplomb_solver* solver = nullptr;
    aplomb_solver_create(figure, nullptr, &solver, nullptr);
    return Solver(solver);
}

/// All that is said of a moment, as plain numbers and text, so that bits can be compared.
struct Told {
    std::vector<double> numbers;
    std::string text;

    void add_numbers(const std::vector<double>& values) {
        numbers.insert(numbers.end(), values.begin(), values.end());
    }
    void add(const aplomb_reading& r) {
        add_numbers({r.margin, r.tip_angle, r.tip_energy, r.balance_point[0], r.home[0], r.rest_point[2],
                     r.loads[0].natural, r.loads[0].countered, r.contacts[0].share, r.contacts[0].share_max,
                     r.trunk_fore, r.trunk_side});
        for (int i = 0; i < r.cue_count; ++i)
            text += r.cues[i].text;
    }
    void add(aplomb_status status, const aplomb_result& r) {
        add_numbers({static_cast<double>(status), r.objective, r.margin_after, r.moved[0],
                     r.controls.chest[0], r.trust, r.lag});
    }
    bool operator==(const Told& other) const {
        return numbers.size() == other.numbers.size() && text == other.text &&
               std::memcmp(numbers.data(), other.numbers.data(), numbers.size() * sizeof(double)) == 0;
    }
};

/// The keyed moments; all that threads share is only read.
struct Scene {
    lay::LayFigure shape = lay::LayFigure::adult();
    lay::FigureHandle figure = shape.create();
    std::vector<lay::Pose> poses;
    std::vector<aplomb_load> loads;
    std::vector<aplomb_situation> situations;

    Scene() {
        for (int i = 0; i < moments; ++i) {
            lay::Pose pose(figure.get(), shape);
            pose.soft_knees(5 + i % 20).turn("spine_1", 0.4 * i, 0.2 * i);
            if (i % 5 == 4) pose.turn("left_thigh", -50).turn("left_shank", 70);
            poses.push_back(pose);
            loads.push_back(aplomb_load_make(0.7 * i, shape.find(i % 2 ? "right_hand" : "spine_3")));
            loads.back().offset[2] = 0.3, loads.back().hanging = i % 3 == 0;
        }
        for (size_t i = 0; i < moments; ++i) {
            situations.push_back(poses[i].situation());
            situations.back().loads = &loads[i], situations.back().load_count = 1;
        }
    }
    /// Everything that can be asked about one moment.
    Told ask(aplomb_solver* solver, size_t i) const {
        Told told;
        aplomb_reading reading;
        aplomb_reading_init(&reading, sizeof reading);
        aplomb_read(solver, &situations[i], nullptr, &reading, nullptr);
        told.add(reading);
        std::vector<double> t(poses[i].translations), r(poses[i].rotations);
        aplomb_result result;
        aplomb_result_init(&result, sizeof result);
        const aplomb_status status =
            aplomb_balance(solver, &situations[i], nullptr, t.data(), r.data(), &result, nullptr);
        told.add(status, result);
        told.add_numbers(t), told.add_numbers(r);
        aplomb_read_corrected(solver, &situations[i], nullptr, t.data(), r.data(), &result, &reading,
                              nullptr);
        told.add(reading);
        aplomb_contact contacts[APLOMB_MAX_CONTACTS];
        const int32_t count = aplomb_stance_default(figure.get(), t.data(), r.data(), contacts, nullptr);
        told.add_numbers({static_cast<double>(count), static_cast<double>(contacts[0].hold)});
        char text[2000];
        aplomb_explain(figure.get(), &result, text, sizeof text);
        told.text += text;
        return told;
    }
};

std::vector<Told> ask_on_one_thread(const Scene& scene) {
    std::vector<Told> all;
    const Solver solver = make_solver(scene.figure.get());
    for (size_t i = 0; i < moments; ++i)
        all.push_back(scene.ask(solver.get(), i));
    return all;
}

/// Each thread makes its own solver and takes every fourth moment.
std::vector<Told> ask_on_threads(const Scene& scene) {
    std::vector<Told> all(moments);
    std::vector<std::thread> running;
    for (size_t n = 0; n < threads; ++n)
        running.emplace_back([&scene, &all, n] {
            const Solver solver = make_solver(scene.figure.get());
            for (size_t i = n; i < moments; i += threads)
                all[i] = scene.ask(solver.get(), i);
        });
    for (std::thread& thread : running)
        thread.join();
    return all;
}

/// A host's own way of running tasks.
void run_as_a_host(aplomb_task task, void* work, int32_t count, void*) {
    std::atomic<int32_t> next{0};
    std::vector<std::thread> running;
    for (int n = 0; n < threads; ++n)
        running.emplace_back([&] {
            for (int32_t i = next++; i < count; i = next++)
                task(work, i);
        });
    for (std::thread& thread : running)
        thread.join();
}

/// `frames` frames of all moments, each with a state of its own; with `steps` false, plain corrections. Two moments
/// share a solver.
std::vector<Told> balance_crowd(const Scene& scene, aplomb_run_tasks run, bool steps) {
    std::vector<Solver> solvers;
    for (int i = 0; i < moments; ++i)
        solvers.push_back(make_solver(scene.figure.get()));
    std::vector<std::vector<double>> t(moments), r(moments);
    std::vector<aplomb_result> results(moments);
    std::vector<aplomb_step_state> states(moments);
    aplomb_frame frame;
    aplomb_frame_init(&frame, sizeof frame);
    frame.seconds = 1.0 / 60, frame.velocity[2] = 1;
    std::vector<Told> all(moments);
    for (int k = 0; k < (steps ? frames : 1); ++k) {
        std::vector<aplomb_job> jobs(moments);
        for (size_t i = 0; i < moments; ++i) {
            t[i] = scene.poses[i].translations, r[i] = scene.poses[i].rotations;
            aplomb_result_init(&results[i], sizeof results[i]);
            jobs[i] = aplomb_job{};
            jobs[i].solver = solvers[i / 2 * 2].get();
            jobs[i].state = steps ? &states[i] : nullptr;
            jobs[i].situation = &scene.situations[steps ? (i + static_cast<size_t>(k)) % moments : i];
            jobs[i].frame = steps ? &frame : nullptr;
            jobs[i].translations = t[i].data(), jobs[i].rotations = r[i].data();
            jobs[i].result = &results[i];
        }
        int32_t wished = threads;
        aplomb_balance_many(jobs.data(), moments, run, &wished, nullptr);
        for (size_t i = 0; i < moments; ++i) {
            all[i].add(jobs[i].status, results[i]);
            all[i].add_numbers(t[i]), all[i].add_numbers(r[i]);
        }
    }
    return all;
}

bool compare(const char* what, const std::vector<Told>& one_thread, const std::vector<Told>& many) {
    int different = 0;
    for (size_t i = 0; i < moments; ++i)
        different += !(one_thread[i] == many[i]);
    std::printf("%s: %d of %d moments differ\n", what, different, moments);
    return different == 0;
}

} // namespace

int main() {
    const Scene scene;
    bool same = compare("own threads, own solvers", ask_on_one_thread(scene), ask_on_threads(scene));
    for (const bool steps : {false, true}) {
        const std::vector<Told> alone = balance_crowd(scene, nullptr, steps);
        same &= compare(steps ? "steps, the library's threads" : "crowd, the library's threads", alone,
                        balance_crowd(scene, aplomb_run_on_threads, steps));
        same &= compare(steps ? "steps, a host's threads" : "crowd, a host's threads", alone,
                        balance_crowd(scene, run_as_a_host, steps));
    }
    return same ? 0 : 1;
}
