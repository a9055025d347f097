// SPDX-License-Identifier: MIT
// Random poses, stances, loads and ground: what is promised of every reading.
#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "scene.h"

namespace {

using namespace lay;

using Random = std::mt19937;
double between(Random& random, double a, double b) {
    return std::uniform_real_distribution<double>(a, b)(random);
}

Scene random_scene(Random& random) {
    static const char* const joints[] = {"hips",       "spine_1",        "spine_2",        "neck",
                                         "left_thigh", "right_thigh",    "left_shank",     "right_shank",
                                         "left_foot",  "left_upper_arm", "right_upper_arm"};
    Scene scene;
    for (const char* joint : joints)
        scene.turn(joint, static_cast<int>(random() % 3), between(random, -1, 1));
    if (random() % 2) {
        for (const char* end : {"left_foot", "right_foot", "left_hand", "right_hand"}) {
            scene.contact(end, static_cast<aplomb_hold>(random() % 3),
                          static_cast<aplomb_footing>(random() % 3));
            if (random() % 2) scene.contacts.back().bearing = between(random, 0, 1);
            if (random() % 4 == 0) scene.contacts.back().share = between(random, 0, 1);
        }
    }
    for (unsigned i = random() % 4; i > 0; --i)
        scene.load_in_front(between(random, 0, 60), between(random, -.8, .8), between(random, -.3, .8));
    if (random() % 4 == 0) {
        aplomb_pull pull{};
        pull.joint = scene.lay.find("spine_3");
        for (double& f : pull.force)
            f = between(random, -200, 200);
        scene.pulls.push_back(pull);
    }
    if (random() % 3 == 0) {
        scene.situation.gravity[1] = -5;
        scene.situation.gravity[0] = between(random, -2, 2);
    }
    return scene;
}

void expect_finite(const double* values, int count, const char* what) {
    for (int i = 0; i < count; ++i)
        EXPECT_TRUE(std::isfinite(values[i])) << what << " " << i;
}

void expect_sound_contacts(const aplomb_reading& r) {
    double sum = 0;
    for (int i = 0; i < r.contact_count; ++i) {
        const aplomb_contact_reading& c = r.contacts[i];
        sum += c.share;
        EXPECT_GE(c.share, c.share_min);
        EXPECT_LE(c.share, c.share_max);
        EXPECT_GE(c.share_min, 0);
        EXPECT_LE(c.share_max, 1);
        expect_finite(c.centre, 3, "centre of weight");
        EXPECT_TRUE(c.share < 1e-6 || (c.place >= 0 && c.place <= 1));
    }
    EXPECT_NEAR(sum, 1, 1e-6);
}

void expect_sound_loads(const aplomb_reading& r) {
    for (int i = 0; i < r.load_count; ++i) {
        const aplomb_load_reading& load = r.loads[i];
        for (const double bound : {load.stands_min, load.stands_max, load.rests_min, load.rests_max})
            EXPECT_GE(bound, 0);
        const bool none = load.stands_min > load.stands_max;
        EXPECT_EQ(std::isnan(load.natural), none);
        if (!none && load.natural > 0) {
            EXPECT_GE(load.natural, load.stands_min);
            EXPECT_LE(load.natural, load.stands_max);
        }
        EXPECT_TRUE(std::isnan(load.countered));
    }
}

TEST(RandomReadings, AreSound) {
    Random random(8);
    int read = 0;
    for (int round = 0; round < 1500; ++round) {
        Scene scene = random_scene(random);
        aplomb_reading r;
        aplomb_error error{};
        const aplomb_status status = scene.try_read(r, &error);
        if (status == APLOMB_NO_SUPPORT) continue;
        ASSERT_EQ(status, APLOMB_OK) << error.message;
        ++read;
        SCOPED_TRACE(round);
        expect_finite(&r.body_mass, 11, "masses and centres");
        for (int i = 0; i < r.edge_count; ++i)
            expect_finite(r.area[i], 3, "area");
        for (int i = 0; i < r.zone_count; ++i)
            expect_finite(r.zone[i], 3, "zone");
        expect_finite(&r.margin, 14, "margin to friction");
        expect_finite(r.home, 6, "home and rest point");
        expect_finite(&r.trunk_fore, 17, "lean and line of action");
        EXPECT_GE(r.tip_energy, 0);
        EXPECT_LE(r.cue_count, APLOMB_MAX_CUES);
        expect_sound_contacts(r);
        expect_sound_loads(r);
        if (HasFailure()) break;
    }
    EXPECT_GT(read, 1000);
}

} // namespace
