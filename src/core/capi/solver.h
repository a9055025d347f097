// SPDX-License-Identifier: MIT
// One thread's working memory for one figure: what a reading and a correction need between input and output.
// What does not grow with the figure and is not kept from call to call lies on the caller's stack.
#pragma once

#include <atomic>

#include "balance/balance.h"
#include "base/error.h"
#include "capi/handles.h"

struct aplomb_solver {
    aplomb_allocator allocator{};
    size_t block_size = 0;
    const aplomb::Figure* figure = nullptr;
    aplomb::BodyPlan plan;
    aplomb::PoseRoom keyed{};
    aplomb::Workbench bench;
    uint32_t figure_check = 0; // that states of aplomb_step carry
    std::atomic<bool> in_use{false};
};

namespace aplomb {

/// Marks a solver while a call uses it, in debug builds: two threads must not share one.
class InUse {
public:
    explicit InUse(aplomb_solver& solver) : solver_(solver) {
#ifndef NDEBUG
        mine_ = !solver_.in_use.exchange(true);
#endif
    }
    ~InUse() {
#ifndef NDEBUG
        if (mine_) solver_.in_use = false;
#endif
    }
    InUse(const InUse&) = delete;
    InUse& operator=(const InUse&) = delete;
    bool by_another() const {
        return !mine_;
    }

private:
    [[maybe_unused]] aplomb_solver& solver_;
    bool mine_ = true;
};

inline aplomb_status refuse_shared(aplomb_error* error) {
    return fail(error, APLOMB_BAD_ARGUMENT, "solver", -1,
                "solver is in use by another call; a solver serves one thread at a time.");
}

} // namespace aplomb
