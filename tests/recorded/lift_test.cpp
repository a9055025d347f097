// SPDX-License-Identifier: MIT
// The recorded lift poses, where they are at hand. What the box weighed is not known.
#include "recording.h"

#include <cstdio>

namespace {

using namespace recorded;

struct Lift {
    Recording recording{clip("lift_poses").file, clip("lift_poses").metres_per_unit};
    double metres = clip("lift_poses").metres_per_unit;
    std::vector<double> times = recording.times();

    aplomb_load box(double mass) const {
        const auto hand = [&](aplomb_side side) {
            return aplomb_figure_find_role(recording.figure(), APLOMB_ROLE_HAND, side);
        };
        aplomb_load load = aplomb_load_make(mass, hand(APLOMB_SIDE_LEFT));
        load.holder[1] = hand(APLOMB_SIDE_RIGHT);
        return load;
    }
    aplomb_reading reading(std::size_t key, double mass) const {
        const Pose pose = recording.pose(0, times[key]);
        const aplomb_load load = box(mass);
        aplomb_situation situation = pose.situation();
        situation.loads = &load, situation.load_count = 1;
        return read(recording.solver(), situation);
    }
    aplomb_result corrected(std::size_t key, double mass, double heft) const {
        Pose pose = recording.pose(0, times[key]);
        const aplomb_load load = box(mass);
        aplomb_situation situation = pose.situation();
        situation.loads = &load, situation.load_count = 1;
        aplomb_options options;
        aplomb_options_init(&options, sizeof options);
        options.heft = heft;
        aplomb_result result;
        aplomb_result_init(&result, sizeof result);
        aplomb_error error{};
        EXPECT_EQ(aplomb_balance(recording.solver(), &situation, &options, pose.translations.data(),
                                 pose.rotations.data(), &result, &error),
                  APLOMB_OK)
            << error.message;
        return result;
    }
};

const char* const keys[] = {"T-pose",   "standing, hands out", "squatting at the box",   "standing with it",
                            "arms out", "bent from the waist", "standing with it, lower"};

double in_degrees(const double* turn) {
    return norm(vector(turn)) / aplomb::degree;
}

} // namespace

TEST(Lift, EveryPoseReadsAsAMass) {
    if (made::reference_is_missing()) GTEST_SKIP();
    const Lift lift;
    ASSERT_EQ(lift.times.size(), std::size(keys));
    for (std::size_t key = 0; key < std::size(keys); ++key) {
        const aplomb_reading unloaded = lift.reading(key, 0);
        ASSERT_EQ(unloaded.load_count, 1);
        const aplomb_load_reading& reads = unloaded.loads[0];
        std::printf("%zu %-24s stands with %.0f to %.1f kg, rests with ", key, keys[key], reads.stands_min,
                    reads.stands_max);
        if (reads.rests_min > reads.rests_max)
            std::printf("none");
        else
            std::printf("%.0f to %.1f kg", reads.rests_min, reads.rests_max);
        std::printf(", reads as %.1f kg, margin %.1f cm\n", reads.natural,
                    100 * unloaded.margin * lift.metres);
        EXPECT_EQ(reads.stands_min, 0) << key; // all stand with empty hands
        EXPECT_GT(reads.stands_max, 1) << key;
        EXPECT_FALSE(std::isnan(reads.natural)) << key;
        // The bounds are what they say: just inside and just outside of them.
        if (!std::isfinite(reads.stands_max)) continue;
        const double asked = unloaded.margin_asked;
        EXPECT_GE(lift.reading(key, .999 * reads.stands_max).margin, -1e-6 * asked) << key;
        EXPECT_LE(lift.reading(key, 1.001 * reads.stands_max).margin, 1e-6 * asked) << key;
    }
}

/// A box as two hands lift it from the ground, 5 to 15 kg (common practice). The smallest correction is small; with all that
/// a load does to a body the spine takes more of it.
TEST(Lift, StandingWithTheBoxTakesLittleCorrection) {
    if (made::reference_is_missing()) GTEST_SKIP();
    const Lift lift;
    const double leg = lift.recording.info().leg_length * lift.metres;
    for (const std::size_t key : {std::size_t{3}, std::size_t{6}}) {
        EXPECT_GT(lift.reading(key, 0).loads[0].stands_max, 12) << key;
        for (const double mass : {5.0, 10.0, 15.0}) {
            const aplomb_result result = lift.corrected(key, mass, 0);
            const aplomb_controls& c = result.controls;
            const double shift = norm(vector(c.hips_shift)) * lift.metres;
            std::printf("%zu %-24s %4.0f kg: hips %.1f cm and %.1f degrees, chest %.1f degrees\n", key,
                        keys[key], mass, 100 * shift, in_degrees(c.hips_turn), in_degrees(c.chest));
            EXPECT_LT(shift, .045 * leg) << key; // one and a half of the default's standard deviations
            EXPECT_LT(in_degrees(c.hips_turn), 3) << key;
            EXPECT_LT(in_degrees(c.chest), 4.5) << key; // neck and head, which are no variable, do not help
            EXPECT_LE(result.violation, 1e-6) << key;
            const aplomb_result whole =
                lift.corrected(key, mass, 1); // an arch, spine against knees that give
            std::printf("    at heft 1: hips %.1f cm, chest %.1f degrees\n",
                        100 * norm(vector(whole.controls.hips_shift)) * lift.metres,
                        in_degrees(whole.controls.chest));
            EXPECT_LT(in_degrees(whole.controls.chest), 12) << key;
        }
    }
}
