// SPDX-License-Identifier: MIT
// What a step of follow-through costs beside a plain pass (forward kinematics, centre of mass and its Jacobian): a man with
// a tail of five joints, whose tail, arms and neck follow.
#include <benchmark/benchmark.h>

#include <cmath>
#include <cstdio>
#include <map>
#include <string>
#include <vector>

#include "follow/tail.h"
#include "plain_pass.h"

namespace {

constexpr int poses = 64;

struct Scene {
    Scene() : shape(tail::tailed(tail::even(5, .5))), figure(shape.create()), pass(figure.get()) {
        aplomb_chain chains[APLOMB_MAX_CHAINS];
        int32_t count = aplomb_figure_chains(figure.get(), chains, APLOMB_MAX_CHAINS);
        chains[count++] = aplomb_chain_make(APLOMB_CHAIN_TAIL, shape.find("tail_1"), shape.find("tail_5"));
        for (int32_t i = 0; i < count; ++i) {
            chains[i].own_motion = 1;
            for (int32_t j = chains[i].last; j != chains[i].first; j = shape.parents[static_cast<size_t>(j)])
                ++joints;
            ++joints;
        }
        aplomb_follow_desc desc;
        aplomb_follow_desc_init(&desc, sizeof desc);
        desc.chains = chains, desc.chain_count = count, desc.frame_time = 1. / 60;
        aplomb_follow* made = nullptr;
        aplomb_follow_create(figure.get(), &desc, nullptr, &made, nullptr);
        follow.reset(made);
        state.resize(static_cast<size_t>(aplomb_follow_state_size(made)));
        aplomb_follow_reset(made, state.data(), nullptr);
        for (int k = 0; k < poses; ++k) {
            lay::Pose pose(figure.get(), shape);
            pose.move(.2 * std::sin(k * 6.2831853 / poses), 0, 0);
            shot.push_back(pose.rotations), places.push_back(pose.translations);
        }
        out = shot[0];
    }
    void step(int k, double seconds) {
        aplomb_follow_frame frame;
        aplomb_follow_frame_init(&frame, sizeof frame);
        frame.seconds = seconds;
        frame.translations = places[static_cast<size_t>(k)].data(),
        frame.rotations = shot[static_cast<size_t>(k)].data();
        aplomb_follow_step(follow.get(), state.data(), &frame, out.data(), nullptr);
    }

    lay::LayFigure shape;
    lay::FigureHandle figure;
    bench::PlainPass pass;
    tail::FollowHandle follow;
    std::vector<double> state, out;
    std::vector<std::vector<double>> shot, places;
    int joints = 0;
};

struct Medians : benchmark::ConsoleReporter {
    void ReportRuns(const std::vector<Run>& runs) override {
        ConsoleReporter::ReportRuns(runs);
        for (const Run& run : runs)
            if (run.aggregate_name == "median") of[run.run_name.function_name] = run.GetAdjustedRealTime();
    }
    std::map<std::string, double> of;
};

} // namespace

int main(int argc, char** argv) {
    benchmark::Initialize(&argc, argv);
    Scene scene;
    const auto add = [](const char* name, auto work) {
        benchmark::RegisterBenchmark(name, [work](benchmark::State& state) {
            int k = 0;
            for (auto _ : state)
                work(k++ % poses);
        });
    };
    add("plain pass", [&](int k) {
        const size_t i = static_cast<size_t>(k);
        scene.pass.run(scene.places[i].data(), scene.shot[i].data());
        benchmark::DoNotOptimize(scene.pass.centre());
    });
    add("step at the plan's frame time", [&](int k) { scene.step(k, 1. / 60); });
    add("step at another", [&](int k) { scene.step(k, 1. / 50 + k * 1e-4); });
    Medians medians;
    benchmark::RunSpecifiedBenchmarks(&medians);
    const double pass = medians.of["plain pass"];
    for (const char* name : {"step at the plan's frame time", "step at another"})
        std::printf("%-30s %5.2f plain passes, %4.0f ns a joint of a chain (%d joints)\n", name,
                    medians.of[name] / pass, medians.of[name] / scene.joints, scene.joints);
    return 0;
}
