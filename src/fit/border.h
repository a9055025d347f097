// SPDX-License-Identifier: MIT
// The border between the C API and code that throws: standard containers and Ceres Solver.
#pragma once

#include <exception>
#include <new>

#include "base/error.h"

namespace aplomb::fit {

/// Returns what `work` returns, or the status that says why it threw.
template<class Work>
aplomb_status guarded(const char* what, aplomb_error* error, Work work) noexcept {
    try {
        return work();
    } catch (const std::bad_alloc&) {
        return fail(error, APLOMB_OUT_OF_MEMORY, "heap", -1, "The heap is exhausted: %s needs more.", what);
    } catch (const std::exception& fault) {
        return fail(error, APLOMB_BAD_ARGUMENT, "solver", -1, "%s came to no end: %s.", what, fault.what());
    }
}

} // namespace aplomb::fit
