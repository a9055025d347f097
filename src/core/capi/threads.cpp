// SPDX-License-Identifier: MIT
// aplomb_run_on_threads: the one file with threads in it; a build without APLOMB_THREADS leaves it out.
#include <pthread.h>

#include <algorithm>
#include <atomic>

#include "aplomb/aplomb.h"

namespace {

constexpr int32_t most_threads = 64;
constexpr int32_t most_at_once = 8; // tasks that a thread takes at once, and
constexpr int32_t shares = 4;       // at most a quarter of its share of all

struct Shared {
    aplomb_task task;
    void* work;
    int32_t count, at_once;
    std::atomic<int32_t> next{0};
};

void* work_on(void* shared) {
    Shared& s = *static_cast<Shared*>(shared);
    for (;;) {
        const int32_t first = s.next.fetch_add(s.at_once);
        if (first >= s.count) return nullptr;
        for (int32_t i = first; i < std::min(first + s.at_once, s.count); ++i)
            s.task(s.work, i);
    }
}

} // namespace

void aplomb_run_on_threads(aplomb_task task, void* work, int32_t count, void* user) {
    const int32_t wished = std::clamp(user ? *static_cast<const int32_t*>(user) : 1, 1, most_threads);
    Shared shared{task, work, count, std::clamp(count / (shares * wished), 1, most_at_once)};
    pthread_t threads[most_threads];
    int32_t started = 0;
    // Where no further thread can be had, those that run do all the work; this one works, too.
    while (started + 1 < wished && pthread_create(&threads[started], nullptr, work_on, &shared) == 0)
        ++started;
    work_on(&shared);
    for (int32_t i = 0; i < started; ++i)
        pthread_join(threads[i], nullptr);
}
