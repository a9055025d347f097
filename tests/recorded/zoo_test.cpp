// SPDX-License-Identifier: MIT
// Figures as game artists export them, where they are at hand: every leg is found with a sole under it, and rest
// and idle poses stand, without options. What the files hold is in SOURCES.md beside them.
#include "recording.h"

#include <cstdio>
#include <cstring>

namespace {

using namespace recorded;

struct Animal {
    const char* file;
    int legs, fore_legs, arms;
    double shortest, tallest;  // stature, host units
    double sole_from, sole_to; // length of each, host units
    const char* idle;          // a clip that stands all through, or nullptr
    bool stands_at_rest;
};

constexpr Animal zoo[] = {
    {"adventurer.glb", 2, 0, 2, 1.80, 1.90, .24, .31, nullptr, true},
    {"big_head_mage.glb", 2, 0, 2, 2.1, 2.4, .33, .45, "Idle", true},
    {"bones_along_x.bvh", 2, 0, 2, 165, 180, 20, 30, nullptr, false},
    {"cow.glb", 2, 2, 0, 3.5, 4.8, .35, .55, "AnimalArmature|Idle", true},
    {"frog.glb", 2, 2, 0, 1, 2.2, .35, 1.6, "FrogArmature|Frog_Idle", true},
    {"husky.glb", 2, 2, 0, 2.2, 3.3, .28, .5, "AnimalArmature|Idle", true},
    {"knight_feet_apart.glb", 2, 0, 2, 5.3, 5.8, .4, .6, "HumanArmature|Idle", true},
    {"robot_feet_apart.glb", 2, 0, 2, 4.3, 4.8, .8, 1.1, "Idle", true},
    {"wolf.glb", 2, 2, 0, 2.6, 3.2, .35, .6, "metarig|Idle", true},
};

int count_kind(const Recording& recording, aplomb_limb_kind kind) {
    int count = 0;
    for (int32_t i = 0; i < recording.info().limb_count; ++i)
        count += recording.limb(i).kind == kind;
    return count;
}

int32_t find_clip(const Recording& recording, const char* name) {
    for (int32_t clip = 0; clip < recording.clips(); ++clip)
        if (recording.clip_name(clip) == name) return clip;
    return -1;
}

TEST(Zoo, EveryLegHasASoleAndRestAndIdlePosesStand) {
    if (made::reference_is_missing()) GTEST_SKIP();
    for (const Animal& animal : zoo) {
        SCOPED_TRACE(animal.file);
        const Recording recording("zoo/" + std::string(animal.file));
        EXPECT_EQ(count_kind(recording, APLOMB_LEG), animal.legs);
        EXPECT_EQ(count_kind(recording, APLOMB_FORE_LEG), animal.fore_legs);
        EXPECT_EQ(count_kind(recording, APLOMB_ARM), animal.arms);
        for (const aplomb_role role : {APLOMB_ROLE_HIPS, APLOMB_ROLE_SPINE, APLOMB_ROLE_HEAD})
            EXPECT_TRUE(recording.has(role)) << aplomb_role_text(role);
        EXPECT_EQ(recording.info().up_axis, APLOMB_AXIS_Y);
        EXPECT_EQ(recording.info().forward_axis, APLOMB_AXIS_Z);
        EXPECT_GE(recording.info().stature, animal.shortest);
        EXPECT_LE(recording.info().stature, animal.tallest);
        for (const int32_t leg : recording.legs()) {
            EXPECT_GE(recording.limb(leg).sole_length, animal.sole_from) << leg;
            EXPECT_LE(recording.limb(leg).sole_length, animal.sole_to) << leg;
        }
        const int32_t all = animal.legs + animal.fore_legs;
        if (animal.stands_at_rest) {
            const aplomb_reading rest = read(recording.solver(), recording.pose(-1, 0).situation());
            EXPECT_TRUE(rest.in_balance);
            EXPECT_EQ(rest.contact_count, all);
        }
        if (animal.idle == nullptr) continue;
        const int32_t clip = find_clip(recording, animal.idle);
        ASSERT_GE(clip, 0);
        int standing = 0, bearing = 0, frames = 0;
        for (const double seconds : recording.times(clip)) {
            const aplomb_reading reading =
                read(recording.solver(), recording.pose(clip, seconds).situation());
            standing += reading.in_balance, bearing += reading.contact_count == all, ++frames;
        }
        EXPECT_EQ(standing, frames);
        EXPECT_GE(bearing, .9 * frames); // the cow lifts a hoof now and then
        std::printf("%-22s stature %.2f, legs %.2f, %d frames of '%s' stand\n", animal.file,
                    recording.info().stature, recording.info().leg_length, standing, animal.idle);
    }
}

/// Planted ends stay where they are, on a figure whose ends hang from the root as on any other.
TEST(Zoo, ALoadIsAnsweredOnPlantedFeet) {
    if (made::reference_is_missing()) GTEST_SKIP();
    for (const Animal& animal : zoo) {
        if (!animal.stands_at_rest) continue;
        SCOPED_TRACE(animal.file);
        const Recording recording("zoo/" + std::string(animal.file));
        const Pose pose = recording.pose(-1, 0);
        aplomb_situation situation = pose.situation();
        aplomb_load load = aplomb_load_make(.2 * recording.info().total_mass, recording.info().chest);
        load.offset[0] = .1 * recording.info().stature;
        situation.loads = &load, situation.load_count = 1;
        Pose corrected = pose;
        aplomb_result result;
        aplomb_result_init(&result, sizeof result);
        aplomb_error error{};
        ASSERT_EQ(aplomb_balance(recording.solver(), &situation, nullptr, corrected.translations.data(),
                                 corrected.rotations.data(), &result, &error),
                  APLOMB_OK)
            << error.message;
        EXPECT_TRUE(result.changed);
        const std::vector<double> before = recording.worlds(pose), after = recording.worlds(corrected);
        for (const int32_t leg : recording.legs()) {
            const std::vector<Vec3> was = recording.sole(before, leg), is = recording.sole(after, leg);
            for (size_t k = 0; k < was.size(); ++k)
                EXPECT_LT(norm(is[k] - was[k]), 1e-6 * recording.info().leg_length) << leg;
        }
    }
}

} // namespace
