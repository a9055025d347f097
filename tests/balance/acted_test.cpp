// SPDX-License-Identifier: MIT
// Twelve poses acted by hand: twisted, tilted, with a silhouette. What a load does to them must leave their line of action on
// its side: the bow of the body from the ankles over the hips to the head (common practice).
#include <gtest/gtest.h>

#include <functional>

#include "balance/carries.h"

namespace own {
namespace {

struct Acted {
    const char* name;
    std::function<void(lay::Pose&)> key;
};

/// The trunk bent by so much in all, shared by its joints.
void bend(lay::Pose& p, double forward, double left, double right) {
    for (const char* joint : {"spine_1", "spine_2", "spine_3"})
        p.turn(joint, forward / 3, left / 3, right / 3);
}

const Acted acted[] = {
    {"proud", [](lay::Pose& p) { p.move(0, -.02, .05), bend(p, -20, 0, 0), p.turn("head", 8).plant(); }},
    {"slouched", [](lay::Pose& p) { p.move(0, -.03, .03), bend(p, 32, 0, 0), p.turn("neck", 15).plant(); }},
    {"hip out",
     [](lay::Pose& p) { p.move(.07, -.02, 0).turn("hips", 0, 0, -8), bend(p, 0, 0, 16), p.plant(); }},
    {"reaching up",
     [](lay::Pose& p) {
         p.move(-.04, -.01, 0), bend(p, -8, 10, 14), p.turn("left_upper_arm", -150).plant();
     }},
    {"twisted",
     [](lay::Pose& p) { p.move(0, -.03, 0).turn("hips", 4, 20, 0), bend(p, 0, -35, 0), p.plant(); }},
    {"sneaking", [](lay::Pose& p) { p.move(0, -.16, -.06).turn("hips", 12), bend(p, 30, 0, 0), p.plant(); }},
    {"recoiling", [](lay::Pose& p) { p.move(0, -.04, .08).turn("hips", -8), bend(p, -18, 8, 0), p.plant(); }},
    {"peeking",
     [](lay::Pose& p) { p.move(-.08, -.03, 0).turn("hips", 0, 0, 5), bend(p, 6, 0, 24), p.plant(); }},
    {"bowing", [](lay::Pose& p) { p.move(0, -.04, -.10).turn("hips", 30), bend(p, 30, 0, 0), p.plant(); }},
    {"shy",
     [](lay::Pose& p) {
         p.move(.03, -.03, 0).turn("hips", 0, 12, -4), bend(p, 8, -18, 12), p.turn("head", 10, 0, 12).plant();
     }},
    {"winding up",
     [](lay::Pose& p) { p.move(-.07, -.06, -.02).turn("hips", 0, -18, 4), bend(p, -10, -30, 8), p.plant(); }},
    {"pleading",
     [](lay::Pose& p) {
         p.move(0, -.12, .02).turn("hips", 6), bend(p, -24, 0, 4), p.turn("head", -15).plant();
     }},
};

/// How far the hips are from the line from ankles to head: to the left, ahead; metres.
Vector bow_of(const World& world) {
    const auto at = [&](const char* joint) { return world.place[static_cast<size_t>(adult().find(joint))]; };
    const Vector foot = (at("left_foot") + at("right_foot")) / 2, way = at("head") - foot;
    const Vector off = at("hips") - foot;
    return off - way * (off.y() / way.y());
}

/// Which way a bow reads, or 0 for one that does not: less than 2 % of the stature, by eye.
int side_of(double bow) {
    constexpr double telling = .02 * 1.75;
    return bow > telling ? 1 : bow < -telling ? -1 : 0;
}

TEST(Acted, ALoadLeavesTheLineOfActionOnItsSide) {
    aplomb_load box = aplomb_load_make(1, adult().find("left_hand"));
    box.holder[1] = adult().find("right_hand"), box.offset[2] = .1;
    const aplomb_load pail = bucket(adult(), "right_hand", 1),
                      pack = load_on(adult(), "spine_3", 1, 0, .05, -.2);
    int tilted = 0, bowed = 0;
    for (const Acted& a : acted) {
        lay::Pose pose = adult().rest_pose();
        a.key(pose);
        pose.both("lower_arm", -60);
        const Vector was = bow_of(adult().bones.world(pose.translations.data(), pose.rotations.data()));
        tilted += side_of(was.x()) != 0, bowed += side_of(was.z()) != 0;
        for (const double part : {.05, .1, .2, .3}) {
            for (aplomb_load load : {box, pail, pack}) {
                load.mass = part * adult().bones.body_mass();
                Moment m(pose);
                m.loads = {load};
                const Answer answer = balance(adult(), m);
                ASSERT_EQ(answer.status, APLOMB_OK) << a.name;
                const Vector is = bow_of(answer.world);
                EXPECT_NE(side_of(was.x()) * side_of(is.x()), -1)
                    << a.name << ", " << part << ": " << was.x() << " m to the left, then " << is.x();
                EXPECT_NE(side_of(was.z()) * side_of(is.z()), -1)
                    << a.name << ", " << part << ": " << was.z() << " m ahead, then " << is.z();
            }
        }
    }
    EXPECT_GE(tilted, 4);
    EXPECT_GE(bowed, 7);
}

} // namespace
} // namespace own
