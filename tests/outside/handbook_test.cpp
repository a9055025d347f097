// SPDX-License-Identifier: MIT
// Figures against textbooks and measurements, for what no other test has yet. Elsewhere: segment tables,
// standing heights and Winter's leg (figure/mass_test), see-saw, pole, push-up and reaction boards
// (reading/), leaning under a pack (balance/), bodies in motion (motion_test), the extrapolated centre of mass (clip/).
// Still to come, with friction on tilted contacts: the support regions of Bretl and Lall, IEEE Trans. Robotics 24(4),
// 2008. Muscle forces are not ours.
#include <gtest/gtest.h>

#include "moment/ground.h"
#include "reading/scene.h"

namespace {

using aplomb::Ground;
using aplomb::Pressing;
using aplomb::Vec2;
using lay::Scene;

// OpenStax College Physics, chapter 9, problems: a horse of 500 kg, .350 m off its feet, leans on a wall 1.20
// m up. The wall pushes with 1.43e3 N, and the feet need a friction coefficient of .292.
TEST(Handbook, OpenStaxHorseAgainstAWall) {
    const Ground ground = aplomb::make_ground({}, {0, 1, 0}, {0, -9.80, 0}, {}, {});
    const double wall = 500 * 9.80 * .350 / 1.20;
    EXPECT_NEAR(wall, 1.43e3, 5);
    const aplomb::Vec3 push = {0, 0, -wall};
    const Pressing pressing = aplomb::make_pressing(ground, 500, &push, 1, {});
    const aplomb::Vec3 moment = {0, 500 * 1.40, 500 * .350};
    EXPECT_NEAR(pressing.moment(moment).fore, .350, 1e-12);
    const Vec2 p = pressing.balance_point(moment, [](int) { return aplomb::Vec3{0, 1.20, 0}; });
    EXPECT_NEAR(p.fore, 0, 1e-12);
    EXPECT_NEAR(-pressing.force.z / -pressing.normal_force, .292, 5e-4);
}

/// A pose before and after its correction.
struct Change {
    aplomb_reading before, after;
};

Change correct(Scene& scene) {
    Change change;
    change.before = scene.read();
    std::vector<double> translations(scene.translations.size()), rotations(scene.rotations.size());
    aplomb_result result;
    aplomb_result_init(&result, sizeof result);
    aplomb_reading_init(&change.after, sizeof change.after);
    aplomb_error error{};
    const aplomb_status status = aplomb_balance(scene.solver.get(), &scene.situation, nullptr,
                                                translations.data(), rotations.data(), &result, &error);
    if (status) throw std::runtime_error(aplomb_status_text(status));
    if (aplomb_read_corrected(scene.solver.get(), &scene.situation, nullptr, translations.data(),
                              rotations.data(), &result, &change.after, &error))
        throw std::runtime_error(error.message);
    return change;
}

/// Share of the weight on the foot of this joint.
double share_of(const Scene& scene, const aplomb_reading& reading, const char* foot) {
    for (int i = 0; i < reading.contact_count; ++i) {
        if (reading.contacts[i].joint == scene.lay.find(foot)) return reading.contacts[i].share;
    }
    throw std::runtime_error("no such contact");
}

Scene& bucket(Scene& scene, const char* hand, double mass) {
    aplomb_load load = aplomb_load_make(mass, scene.lay.find(hand));
    load.hanging = 1, load.hang = .2;
    scene.loads.push_back(load);
    return scene;
}

// Abstract of a trial with 4 kg in one hand (seen at second hand): the trunk moves to the other side, and the
// pressure under the foot on the load's side rises. The same for an uneven load in P. Davidovits, Physics in
// Biology and Medicine.
TEST(Handbook, OneHandedLoad) {
    double last = 0;
    for (const double mass : {4.0, 8.0, 16.0}) {
        Scene right, left;
        const Change r = correct(bucket(right, "right_hand", mass)),
                     l = correct(bucket(left, "left_hand", mass));
        // The hand is further out than the foot, so that foot bears all of the load and half of the body.
        EXPECT_GT(share_of(right, r.before, "right_foot"), (37.5 + mass) / (75 + mass)) << mass;
        EXPECT_GT(share_of(left, l.before, "left_foot"), (37.5 + mass) / (75 + mass)) << mass;
        EXPECT_LT(r.after.trunk_side, last) << mass; // further to the left
        EXPECT_NEAR(l.after.trunk_side, -r.after.trunk_side, 1e-3) << mass;
        // Part of the difference between the feet stays.
        EXPECT_GT(share_of(right, r.after, "right_foot"), .5) << mass;
        EXPECT_LT(share_of(right, r.after, "right_foot"), share_of(right, r.before, "right_foot")) << mass;
        last = r.after.trunk_side;
    }
    EXPECT_LT(last, -1 * lay::degree);
}

// S. McGill et al. 2013 (seen at second hand): split between both hands, a load bends nobody to the side.
TEST(Handbook, SplitLoadNeedsNoLean) {
    Scene scene;
    const Change c = correct(bucket(bucket(scene, "left_hand", 15), "right_hand", 15));
    EXPECT_NEAR(share_of(scene, c.before, "left_foot"), .5, 1e-6);
    EXPECT_NEAR(c.after.trunk_side, 0, 1e-4);
}

// OpenStax College Physics, chapter 9 (figure): with books carried in front people lean back.
TEST(Handbook, LoadInFrontLeansBack) {
    double last = 0;
    for (const double mass : {5.0, 10.0, 15.0}) {
        Scene scene;
        scene.load_in_front(mass, .35);
        const Change c = correct(scene);
        EXPECT_LT(c.after.trunk_fore - c.before.trunk_fore, last - .1 * lay::degree) << mass;
        last = c.after.trunk_fore - c.before.trunk_fore;
    }
}

} // namespace
