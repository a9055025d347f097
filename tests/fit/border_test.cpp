// SPDX-License-Identifier: MIT
// What throws inside the fitting library becomes a status and a sentence.
#include "fit/border.h"

#include <gtest/gtest.h>

#include <stdexcept>
#include <string>

namespace {

using namespace aplomb;

TEST(Border, WhatIsThrownBecomesASentence) {
    aplomb_error error{};
    EXPECT_EQ(fit::guarded("a fit", &error, [] { return APLOMB_OK; }), APLOMB_OK);
    EXPECT_EQ(fit::guarded("a fit", &error, []() -> aplomb_status { throw std::bad_alloc(); }),
              APLOMB_OUT_OF_MEMORY);
    EXPECT_EQ(std::string(error.message), "The heap is exhausted: a fit needs more.");
    EXPECT_EQ(fit::guarded("a fit", &error, []() -> aplomb_status { throw std::runtime_error("no way on"); }),
              APLOMB_BAD_ARGUMENT);
    EXPECT_EQ(std::string(error.message), "a fit came to no end: no way on.");
}

} // namespace
