// SPDX-License-Identifier: MIT
// What takes minutes in an unoptimised build under sanitizers is left to an optimised one.
#pragma once

#include <gtest/gtest.h>

namespace costly {

inline bool is_too_slow() {
#ifdef NDEBUG
    return false;
#else
    return true;
#endif
}

} // namespace costly

#define SKIP_WHERE_TOO_SLOW()                                                                                \
    if (costly::is_too_slow()) GTEST_SKIP() << "Takes minutes here; an optimised build runs it."
