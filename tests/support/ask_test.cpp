// SPDX-License-Identifier: MIT
// One ask for many poses, and what cannot be measured as a value.
#include <gtest/gtest.h>

#include "capi/situation.h"
#include "capi/solver.h"
#include "moment/key.h"
#include "reading/scene.h"

namespace {

using namespace lay;
using aplomb::Unmeasured;

aplomb::Ask asked(Scene& scene) {
    scene.fill();
    aplomb::Ask ask;
    aplomb_error error{};
    EXPECT_EQ(check_ask(*scene.figure, scene.situation, ask, &error), APLOMB_OK) << error.message;
    return ask;
}

Unmeasured measured(Scene& scene, const aplomb::Ask& ask, aplomb::Key& key) {
    scene.fill();
    const aplomb::PoseRoom& room = scene.solver->keyed;
    EXPECT_EQ(bring_pose(*scene.figure, scene.situation, room, nullptr), APLOMB_OK);
    return measure(*scene.figure, scene.solver->plan, ask, room, key);
}

std::string told(const Scene& scene, const Unmeasured& unmeasured) {
    aplomb_error error{};
    EXPECT_EQ(tell(*scene.figure, unmeasured, &error), APLOMB_NO_SUPPORT);
    return error.message;
}

TEST(Ask, ServesAnyPoseAndKeepsNothingOfTheCallers) {
    Scene upright, bent;
    upright.load_in_front(15, 0.4).contact("left_foot", APLOMB_BEARING).contact("right_foot", APLOMB_HELD);
    const aplomb::Ask ask = asked(upright);
    bent.load_in_front(15, 0.4).contact("left_foot", APLOMB_BEARING).contact("right_foot", APLOMB_HELD);
    bent.bend(0.5);
    upright.loads[0].mass = 1000, upright.contacts[0].hold = APLOMB_FREE;
    aplomb::Key key;
    ASSERT_FALSE(measured(bent, ask, key));
    const aplomb::Vec2 by_ask = key.balance_point;
    aplomb_error error{};
    ASSERT_EQ(bring_key(*bent.figure, bent.solver->plan, bent.situation, bent.solver->keyed, key, &error),
              APLOMB_OK);
    EXPECT_EQ(by_ask.fore, key.balance_point.fore);
    EXPECT_EQ(by_ask.left, key.balance_point.left);
    EXPECT_GT(by_ask.fore, 0.05);
}

TEST(Ask, HasWhatTheSituationLeavesOut) {
    Scene scene;
    scene.load_in_front(15, 0.4).load_in_front(5, 0);
    scene.loads[1].hanging = 1, scene.loads[1].hang = 0.3;
    const aplomb::Ask ask = asked(scene);
    EXPECT_EQ(ask.load[0].offset.z, 0.4);
    EXPECT_EQ(ask.load[1].cord, 0.3);
    EXPECT_NEAR(ask.gravity.y, -9.80665, 1e-12);
    EXPECT_FALSE(ask.gives_contacts);
}

TEST(Unmeasured, IsAValueThatIsToldWhenAsked) {
    Scene scene;
    aplomb::Key key;
    aplomb::Ask ask = asked(scene);
    EXPECT_FALSE(measured(scene, ask, key));

    ask.acceleration = ask.gravity;
    Unmeasured what = measured(scene, ask, key);
    EXPECT_EQ(what.why, Unmeasured::falls);
    EXPECT_NE(told(scene, what).find("it falls or is thrown aside"), std::string::npos);
    ask.acceleration = {};

    ask.gives_contacts = true; // and none is there
    what = measured(scene, ask, key);
    EXPECT_EQ(what.why, Unmeasured::nothing_bears);
    EXPECT_NE(told(scene, what).find("No contact bears weight"), std::string::npos);
    ask.gives_contacts = false;

    ask.pull_count = 1;
    ask.pull[0] = {scene.lay.find("hips"), {}, {0, 2000, 0}};
    what = measured(scene, ask, key);
    EXPECT_EQ(what.why, Unmeasured::lifted_off);
    EXPECT_NE(told(scene, what).find("pulls lift it off"), std::string::npos);
    ask.pull_count = 0;

    ask.momentum_rate = {1e7, 0, 0};
    what = measured(scene, ask, key);
    EXPECT_EQ(what.why, Unmeasured::point_is_far);
    EXPECT_GT(what.distance, aplomb::farthest_place);
    EXPECT_NE(told(scene, what).find("the pulls and angular_momentum_rate"), std::string::npos);
    ask.momentum_rate = {};

    ask.gives_contacts = true, ask.contact_count = 1;
    ask.contact[0] = aplomb::usual_contact(-1, APLOMB_BEARING);
    ask.contact[0].joint = scene.lay.find("hips"), ask.contact[0].point_count = 1;
    ask.contact[0].point[0] = aplomb::Vec3{1e4, -1, 0};
    what = measured(scene, ask, key);
    EXPECT_EQ(what.why, Unmeasured::contact_is_far);
    EXPECT_EQ(what.contact, 0);
    EXPECT_NE(told(scene, what).find("The contact of joint"), std::string::npos);
}

} // namespace
