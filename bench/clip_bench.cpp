// SPDX-License-Identifier: MIT
// Whole clips: the walk of tests/clip/walk.h, longer and longer. Usage: clip_bench [most frames [threads]].
// Prints comma-separated values: joints, frames, seconds, steps of the solver, bytes. On one thread, seconds are the
// processor's; on several, those that pass.
#include "walk.h"

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <ctime>

namespace {

struct Counted {
    size_t now = 0, most = 0;
    static void* allocate(size_t size, size_t, void* user) {
        Counted& my = *static_cast<Counted*>(user);
        my.now += size, my.most = std::max(my.most, my.now);
        return std::malloc(size);
    }
    static void deallocate(void* memory, size_t size, void* user) {
        static_cast<Counted*>(user)->now -= size;
        std::free(memory);
    }
};

double now(int threads) {
    if (threads == 1) return static_cast<double>(std::clock()) / CLOCKS_PER_SEC;
    return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

void measure(const aplomb_figure* figure, const lay::LayFigure& shape, int frames, int32_t threads) {
    aplomb_clip_balance_options how;
    aplomb_clip_balance_options_init(&how, sizeof how);
    if (threads > 1) how.run = aplomb_run_on_threads, how.run_user = &threads;
    walk::Plan plan;
    plan.steps = (frames + 13) / 14;
    walk::Walk keyed = walk::make(figure, shape, plan);
    aplomb_clip clip = keyed.clip();
    clip.frame_count = frames;
    while (!keyed.stances.empty() && keyed.stances.back().first >= frames)
        keyed.stances.pop_back();
    for (auto& range : keyed.stances)
        range.last = std::min(range.last, frames - 1);
    clip.stances = keyed.stances.data(), clip.stance_count = static_cast<int32_t>(keyed.stances.size());
    std::vector<double> t = keyed.poses.translations, r = keyed.poses.rotations;
    double best = 1e300;
    int steps = 0;
    Counted counted;
    const aplomb_allocator allocator = {Counted::allocate, Counted::deallocate, &counted};
    const int times = frames < 500 ? 9 : frames < 5000 ? 3 : 1;
    for (int k = 0; k < times; ++k) {
        aplomb_clip_balance_result* result = nullptr;
        aplomb_error error{};
        const double start = now(threads);
        if (aplomb_clip_balance(figure, &clip, &how, &allocator, t.data(), r.data(), &result, &error) !=
            APLOMB_OK) {
            std::fprintf(stderr, "not in balance: %s\n", error.message);
            std::exit(1);
        }
        best = std::min(best, now(threads) - start);
        int32_t count = 0;
        steps = aplomb_clip_ranges(result, &count)[0].steps;
        aplomb_clip_balance_result_destroy(result);
    }
    std::printf("%d,%d,%.5f,%d,%zu\n", shape.count(), frames, best, steps, counted.most);
    std::fflush(stdout);
}

} // namespace

int main(int argc, char** argv) {
    const int most = argc > 1 ? std::atoi(argv[1]) : 10000;
    const int threads = argc > 2 ? std::atoi(argv[2]) : 1;
    const lay::LayFigure plain = lay::LayFigure::adult(), fine = lay::LayFigure::detailed();
    std::printf("joints,frames,seconds,steps,bytes\n");
    for (const lay::LayFigure* shape : {&plain, &fine}) {
        lay::LayFigure plan = *shape;
        const lay::FigureHandle figure = plan.create();
        for (const int frames : {60, 100, 206, 400, 864, 2000, 5000, 10000})
            if (frames <= most) measure(figure.get(), plan, frames, threads);
    }
}
