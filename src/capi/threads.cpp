// SPDX-License-Identifier: MIT
// aplomb_run_on_threads: the one file with threads in it; a build without them leaves it out.
#include <pthread.h>

#include <algorithm>
#include <atomic>

#include "aplomb/aplomb.h"

namespace {

constexpr int32_t most_threads = 64, taken_at_once = 8;

struct Shared {
    aplomb_task task;
    void* work;
    int32_t count;
    std::atomic<int32_t> next{0};
};

void* work_on(void* shared) {
    Shared& s = *static_cast<Shared*>(shared);
    for (;;) {
        const int32_t first = s.next.fetch_add(taken_at_once);
        if (first >= s.count) return nullptr;
        for (int32_t i = first; i < std::min(first + taken_at_once, s.count); ++i)
            s.task(s.work, i);
    }
}

} // namespace

void aplomb_run_on_threads(aplomb_task task, void* work, int32_t count, void* user) {
    const int32_t wished = user ? *static_cast<const int32_t*>(user) : 1;
    Shared shared{task, work, count};
    pthread_t threads[most_threads];
    int32_t started = 0;
    // A thread that cannot be had is done without: this one works, too.
    while (started + 1 < std::min(wished, most_threads) &&
           pthread_create(&threads[started], nullptr, work_on, &shared) == 0)
        ++started;
    work_on(&shared);
    for (int32_t i = 0; i < started; ++i)
        pthread_join(threads[i], nullptr);
}
