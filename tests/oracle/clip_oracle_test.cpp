// SPDX-License-Identifier: MIT
// A sample of what oracle_clips does.
#include <gtest/gtest.h>

#include "oracle/clip_judge.h"

namespace clip_oracle {
namespace {

#ifdef NDEBUG
constexpr uint64_t stated = 48, judged = 2;
#else
constexpr uint64_t stated = 6, judged = 0; // unoptimised and under sanitizers: the cost alone
#endif

const own::Company& company() {
    static const own::Company made;
    return made;
}

TEST(ClipOracle, TheCostIsTheFormulas) {
    uint64_t compared = 0;
    for (uint64_t seed = 1; seed <= stated; ++seed) {
        const Verdict v = judge_by_ipopt(company(), seed, 0);
        if (!v.left_out.empty()) continue;
        ++compared;
        EXPECT_TRUE(v.converged) << v.text();
        EXPECT_FALSE(v.is_wrong()) << v.text();
    }
    EXPECT_GE(compared, stated / 2);
}

/// From the keyed pose and from a random one.
TEST(ClipOracle, NoStartOfIpoptFindsABetterClip) {
    for (uint64_t seed = 1001; seed < 1001 + judged; ++seed) {
        const Verdict v = judge_by_ipopt(company(), seed, 2);
        ASSERT_EQ(v.left_out, "") << v.text();
        EXPECT_EQ(v.answers, 2) << v.text();
        EXPECT_FALSE(v.is_dearer()) << v.text();
        EXPECT_LE(v.spread(), 1.001) << v.text();
    }
}

TEST(ClipOracle, CeresFindsNoBetterQuasiStaticClip) {
    for (uint64_t seed = 1; seed < 1 + std::min<uint64_t>(judged, 1); ++seed) {
        const Verdict v = judge_by_ceres(company(), seed);
        ASSERT_EQ(v.left_out, "") << v.text();
        EXPECT_FALSE(v.is_wrong()) << v.text();
        EXPECT_FALSE(v.is_dearer()) << v.text();
    }
}

} // namespace
} // namespace clip_oracle
