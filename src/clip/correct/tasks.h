// SPDX-License-Identifier: MIT
// Frames side by side, by the caller's task function. What is done for a frame may not depend on how they are shared
// out: then the bits are the same, however many threads there are.
#pragma once

#include <algorithm>
#include <cstdint>

#include "aplomb/aplomb.h"

namespace aplomb {

class Tasks {
public:
    static constexpr int most = 16;

    Tasks() = default;
    Tasks(aplomb_run_tasks function, void* user) : run_(function), user_(user) {}

    /// How many tasks share so many frames; a few frames are not worth handing over.
    int count(int frames) const { return run_ ? std::clamp(frames / fewest, 1, most) : 1; }
    /// Calls visit(task, first, end) for every task; the frames of a task follow one another.
    template<class Visit>
    void each(int frames, const Visit& visit) const {
        const int tasks = count(frames);
        run(tasks, [&](int task) {
            const auto from = [&](int64_t k) { return static_cast<int>(frames * k / tasks); };
            visit(task, from(task), from(task + 1));
        });
    }
    /// Calls visit(0) and visit(1), the halves of so many frames.
    template<class Visit>
    void both(int frames, const Visit& visit) const {
        if (count(frames) > 1) return run(2, visit);
        visit(0), visit(1);
    }

private:
    static constexpr int fewest = 64; // frames that a task has at least

    template<class Visit>
    void run(int tasks, const Visit& visit) const {
        if (tasks == 1) return visit(0);
        const void* work = &visit;
        run_([](void* of, int32_t task) { (**static_cast<const Visit**>(of))(task); }, &work, tasks, user_);
    }

    aplomb_run_tasks run_ = nullptr;
    void* user_ = nullptr;
};

} // namespace aplomb
