// SPDX-License-Identifier: MIT
// aplomb follow and aplomb timing.
#include <algorithm>
#include <cmath>

#include "command.h"
#include "io/opened.h"
#include "printed_json.h"

namespace command {
namespace {

using aplomb::Json;
using Follow = CommandTest;
using Timing = CommandTest;

const std::string demo = "'" APLOMB_SOURCE_DIR "/examples/beekeeper_follow.glb'";

bool contains(const std::string& text, const std::string& part) {
    return text.find(part) != std::string::npos;
}

TEST_F(Timing, SaysFrames) {
    EXPECT_TRUE(contains(run("timing fall --height 0.75").out,
                         "It falls for 9.4 frames (0.39 s) at 24 frames a second."));
    EXPECT_TRUE(contains(run("timing fall --height 0.75 --fps 60").out, "23.5 frames (0.39 s) at 60 "));
    EXPECT_TRUE(contains(run("timing step --leg .9 --frames 24 --other 3.1").out, "44.5 frames"));
    EXPECT_TRUE(contains(run("timing bounce --height 1 --restitution 80%").out, "64.0 cm"));
    EXPECT_TRUE(
        contains(run("timing pendulum --length 0.18 --frames 10.3").out, "each stride feeds the swing"));
    EXPECT_TRUE(contains(run("timing settle --frequency 1.9 --damping 35%").out, "9.7 frames"));
    EXPECT_TRUE(contains(run("timing bounce --height 1 --restitution 0.5 --count 2 --json").out,
                         "\"height\": 0.0625"));
    const std::string help = run("timing --help").out;
    for (const char* source :
         {"free fall", "Newton", "arithmetic-geometric mean", "Alexander", "last crossing"})
        EXPECT_TRUE(contains(help, source)) << source;
}

TEST_F(Timing, RefusesWhatItCannotTell) {
    refuses("timing", "a THING is needed");
    refuses("timing fal --height 1", "'fal' is not timed; near: 'fall'");
    refuses("timing fall", "timing fall needs --height");
    refuses("timing fall --height -1", "--height is -1; it must be above 0");
    refuses("timing fall --height x", "--height x: that is not a number");
    refuses("timing settle --frequency 1 --damping 7", "--damping is 7");
    refuses("timing bounce --height 1 --restitution 0.5 --count 0", "--count is 0");
    refuses("timing fall --height 1 --fps 0", "--fps is 0");
    refuses("timing step --leg 1 --frames 0 --other 2", "--frames is 0; it must be above 0");
    refuses("timing pendulum --length 1 --frames -2", "--frames is -2; it must be above 0");
    refuses("timing pendulum --length 1 --angle 200", "--angle is 200; 0 to below 180 are allowed\n");
    refuses("timing fall --height 1 --length 2", "--length does not go with timing fall");
    refuses("timing settle --frequency 1 --damping .5 --gravity 1.6",
            "--gravity does not go with timing settle");
    refuses("timing fall bounce", "one thing at a time; 'bounce' is a second");
}

TEST_F(Follow, FindsChainsAndLeavesKeysOfTheirOwnAlone) {
    const Outcome outcome = run("follow beekeeper.bvh");
    EXPECT_EQ(outcome.status, 0) << outcome.err;
    EXPECT_TRUE(contains(outcome.out, "neck to head")) << outcome.out;
    EXPECT_TRUE(contains(outcome.out, "left_upper_arm to left_hand"));
    EXPECT_TRUE(contains(outcome.out, "own motion 0 %"));
    EXPECT_TRUE(contains(outcome.out, "it stays as keyed"));
}

TEST_F(Follow, WritesCurvesAndTheMotion) {
    const std::string chain = "follow beekeeper.bvh --chain arm,own=100%,stiffness=2";
    const std::string csv = run(chain + " --csv").out;
    EXPECT_EQ(csv.rfind("frame,seconds,left_upper_arm_x,", 0), 0u) << csv;
    EXPECT_EQ(std::count(csv.begin(), csv.end(), '\n'), 4);
    EXPECT_TRUE(contains(run(chain + " --json").out, "\"own_motion\": 1"));
    EXPECT_TRUE(
        contains(run("follow beekeeper.bvh --chain \"arm, own=100%\" --json").out, "\"own_motion\": 1"));
    const Outcome outcome = run(chain + " --out swings.bvh");
    EXPECT_EQ(outcome.status, 0) << outcome.err;
    EXPECT_TRUE(contains(outcome.out, "Wrote swings.bvh"));
    EXPECT_NE(read(folder / "swings.bvh"), read(folder / "beekeeper.bvh"));
    // What the follow-through added drives nothing by itself: of the new file against the old one, its arms alone moved.
    const Outcome again = run("follow swings.bvh --keyed beekeeper.bvh");
    EXPECT_EQ(again.status, 0) << again.err;
}

TEST_F(Follow, DrawsThePage) {
    const Outcome outcome = run("follow beekeeper.bvh --chain arm,own=100% --page shot.html --view front");
    EXPECT_EQ(outcome.status, 0) << outcome.err;
    const std::string page = read(folder / "shot.html");
    EXPECT_TRUE(contains(page, "<h1>beekeeper.bvh, clip 'motion'</h1>"));
    EXPECT_TRUE(contains(page, ">Play</button>"));
    EXPECT_TRUE(contains(page, "frame 0 of 0 to 2"));
    EXPECT_TRUE(contains(page, R"(id="moment-2-title")"));
    EXPECT_FALSE(contains(page, "src="));
}

TEST_F(Follow, ALoadSwings) {
    const std::string load = "follow beekeeper.bvh --load 12kg,right-hand,hang=0.35";
    const Outcome outcome = run(load + " --page bucket.html");
    EXPECT_EQ(outcome.status, 0) << outcome.err;
    EXPECT_TRUE(contains(outcome.out, "The load 12kg,right-hand,hang=0.35 swings out by ")) << outcome.out;
    EXPECT_TRUE(contains(outcome.out, "left_upper_arm to left_hand"));
    EXPECT_FALSE(contains(outcome.out, "right_upper_arm")); // quiet: it does not follow, and hangs plumb
    EXPECT_EQ(run(load + " --out plumb.bvh").status, 0);
    EXPECT_NE(read(folder / "plumb.bvh"), read(folder / "beekeeper.bvh"));
    EXPECT_TRUE(contains(run(load + " --csv").out, "\"12kg,right-hand,hang=0.35 angle\""));
    EXPECT_TRUE(contains(run(load + " --json --swing 5%").out, "\"tension\""));
    refuses("follow beekeeper.bvh --load 12kg,right-hand", "only what hangs can swing, and only what");
    refuses("follow beekeeper.bvh --load 12kg,hands,hang=0.3", "it swings from one hand");
    refuses("follow beekeeper.bvh --load 12kg,right-hand,hang=0.3,left=0.1", "leave ways out");
    refuses("follow beekeeper.bvh --load 0kg,right-hand,hang=0.3", "a mass above 0");
    refuses("follow beekeeper.bvh --load 1kg,right-hand,hang=0.3 --swing 200%", "--swing");
}

TEST_F(Follow, WhatArrivesMakesArmsAndHipsGive) {
    const std::string shot = "follow " + demo + " --clip catch --load ";
    const Outcome outcome =
        run(shot + "15kg,hands,up=0.12,frames=24..72,drop=0.3 --frames 20..34 --page box.html");
    EXPECT_EQ(outcome.status, 0) << outcome.err;
    EXPECT_TRUE(contains(outcome.out, "What the arms hold sinks in them by 8.3 cm at most, in frame 26."))
        << outcome.out;
    EXPECT_TRUE(contains(outcome.out, "The hips give by 2.")) << outcome.out;
    EXPECT_FALSE(contains(outcome.out, "it stays as keyed")) << outcome.out; // the head feels it
    const Outcome gentle = run(shot + "15kg,hands,up=0.12,frames=24..72");
    EXPECT_FALSE(contains(gentle.out, "What the arms hold")) << gentle.out;
    EXPECT_TRUE(contains(gentle.out, "The hips give by ")) << gentle.out;
    EXPECT_TRUE(
        contains(run(shot + "15kg,hands,frames=24..72,drop=0.3 --csv").out, ",hips give,arms give\n"));
    EXPECT_TRUE(contains(run(shot + "15kg,hands,frames=24..72,drop=0.3 --json").out, "\"arms\": 0."));
    refuses(shot + "15kg,hands", "only what arrives makes anything give");
    refuses(shot + "15kg,hands,drop=0.3", "what drops comes in some frame; add its frames");
    refuses(shot + "15kg,hands,frames=24..72,drop=-1", "'drop=-1' is not drop=METRES, 0 or more");
    refuses(shot + "5kg,right-hand,hang=0.3,frames=24..72", "what swings hangs there in all frames");
}

/// Balanced before and after it follows, with what the bucket really pulls: every frame that was in balance is so within a
/// millimetre, and the last round moves the hips by less. How many rounds that takes goes by how much hips and bucket feed
/// each other. Where a clip starts and ends accelerations are not known.
void keeps_balance(const std::string& json, int most_rounds, std::size_t ends, double metres_per_unit) {
    const Json whole = Json::parse(json), balanced = whole["balanced"], margins = balanced["margins"];
    EXPECT_EQ(balanced["status"], "ok");
    EXPECT_LT(balanced["last_round"].get<double>(), .001);
    EXPECT_LE(balanced["rounds"].get<int>(), most_rounds);
    ASSERT_GT(margins.size(), 2 * ends);
    int were_short = 0;
    for (std::size_t k = ends; k + ends < margins.size(); ++k) {
        const Json& m = margins[k];
        if (m["before"].is_null()) continue;
        const auto asked = m["asked"].get<double>();
        were_short += m["before"].get<double>() < asked;
        EXPECT_GT(m["after"].get<double>(), asked - .001 / metres_per_unit) << k;
    }
    EXPECT_GT(were_short, 0);
}

TEST_F(Follow, ABalancedWalkStaysSoUnderABucketThatSwings) {
    const Outcome outcome = run(
        "follow " + demo + " --clip stroll --load 12kg,right-hand,hang=0.35 --swing 12% --balance --json");
    EXPECT_EQ(outcome.status, 0) << outcome.err;
    keeps_balance(outcome.out, 3, 3, 1); // two, and one that shows it
    refuses("follow beekeeper.bvh --balance --keyed beekeeper.bvh", "--balance does not go with --keyed");
    refuses("follow " + demo + " --clip stroll --balance --loop --load 15kg,hands,frames=24..95",
            "in a loop nothing arrives or lands so far");
}

/// A walk's cycle under a box: balanced and followed, it still closes; the seam is a frame like the others.
TEST_F(Follow, ABalancedLoopCloses) {
    const Outcome outcome =
        run("follow '" APLOMB_SOURCE_DIR "/examples/beekeeper_shots.glb' --clip walk --loop --balance "
            "--load 15kg,hands,forward=0.2 --chain neck,own=100% --json");
    EXPECT_LE(outcome.status, 1) << outcome.err;
    const Json whole = Json::parse(outcome.out);
    double widest = 0;
    for (const Json& joint : whole["chains"][0]["joints"]) {
        const Json& turns = joint["turns"];
        const std::size_t last = turns.size() - 1;
        for (std::size_t axis = 0; axis < 3; ++axis) {
            EXPECT_NEAR(turns[0][axis].get<double>(), turns[last][axis].get<double>(), 1e-9);
            for (const Json& turn : turns)
                widest = std::max(widest, std::fabs(turn[axis].get<double>()));
        }
    }
    EXPECT_GT(widest, 1e-3);
    const Json& margins = whole["balanced"]["margins"];
    EXPECT_EQ(margins.size(), whole["seconds"].size());
    EXPECT_EQ(margins[0], margins[margins.size() - 1]);
}

/// A walk's cycle with a bucket: it swings at the end as it began, and the hips rest after two rounds.
TEST_F(Follow, ABucketSwingsInALoop) {
    for (const std::string swing : {"12%", "20%"}) {
        const Outcome outcome = run("follow '" APLOMB_SOURCE_DIR
                                    "/examples/beekeeper_shots.glb' --clip walk --belt find --loop --balance "
                                    "--load 12kg,right-hand,hang=0.35 --json --swing " +
                                    swing);
        EXPECT_EQ(outcome.status, 0) << outcome.err;
        const Json whole = Json::parse(outcome.out);
        const Json& frames = whole["loads"][0]["frames"];
        const Json &first = frames[0], &last = frames[frames.size() - 1];
        EXPECT_NEAR(first["angle"].get<double>(), last["angle"].get<double>(), 1e-9);
        double apart = 0, least = 1e9, most = 0;
        for (const Json& frame : frames) {
            least = std::min(least, frame["tension"][1].get<double>());
            most = std::max(most, frame["tension"][1].get<double>());
        }
        for (std::size_t axis = 0; axis < 3; ++axis)
            apart = std::max(
                apart, std::fabs(first["tension"][axis].get<double>() - last["tension"][axis].get<double>()));
        EXPECT_LT(apart, 1e-6); // newton
        EXPECT_GT(most - least, 20);
        const Json& margins = whole["balanced"]["margins"];
        keeps_balance(outcome.out, 2, 0, 1);
        // Over ground at rest a walk on the spot would hardly be asked for anything.
        int were_short = 0;
        for (const Json& m : margins)
            were_short += !m["before"].is_null() && m["before"].get<double>() < m["asked"].get<double>();
        EXPECT_GT(were_short, 20);
        EXPECT_EQ(margins[0], margins[margins.size() - 1]);
    }
    refuses("follow " + demo + " --clip stroll --belt find",
            "--belt goes with --balance, --landings or a --load");
    refuses("follow " + demo + " --clip stroll --balance --belt 1,2",
            "--belt 1,2: find, or three numbers are needed");
    refuses("follow " + demo +
                " --clip stroll --frames 40..76 --loop --balance --swing 0% --load 12kg,right-hand,hang=0.35",
            "--loop: what swings does not come back to where it began");
}

/// How far it swings in towards the leg, as the sine of the string's angle: as good as nowhere, where it is as broad as the
/// arm keeps it off the leg.
TEST_F(Follow, AThighStopsWhatSwings) {
    const auto inwards = [&](const std::string& size) {
        const Outcome outcome = run("follow " + demo +
                                    " --clip stroll --swing 5% --balance --json --load "
                                    "12kg,right-hand,hang=0.35,size=" +
                                    size);
        double most = 0;
        const Json whole = Json::parse(outcome.out);
        for (const Json& frame : whole["loads"][0]["frames"]) {
            const Json& pull = frame["tension"];
            const double x = pull[0].get<double>(), y = pull[1].get<double>();
            most = std::max(most, x / std::fabs(y)); // the figure walks along z
        }
        return most;
    };
    EXPECT_LT(inwards("0.6x0.3x0.3"), .005);
    EXPECT_GT(inwards("0.05x0.3x0.3"), .015);
}

TEST_F(Follow, SoDoRecordedWalks) {
    if (made::reference_is_missing()) GTEST_SKIP();
    for (const char* clip :
         {"cmu_02_01.bvh --unit 0.056444 --frames 1..343", "cmu_07_04.bvh --unit 0.056444 --frames 1..449",
          "cmu_06_01.bvh --unit 0.056444 --frames 220..494"}) {
        const Outcome outcome = run("follow " + (made::reference / "clips" / clip).string() +
                                    " --load 12kg,right-hand,hang=0.35 --swing 12% --balance --json");
        EXPECT_EQ(outcome.status, 0) << outcome.err;
        keeps_balance(outcome.out, 5, 13, 0.056444);
    }
}

TEST_F(Follow, RefusesWhatItCannotFollow) {
    refuses("follow beekeeper.bvh --chain tail", "no tail is found on this figure");
    refuses("follow beekeeper.bvh --chain tial", "'tial' is no kind of chain; near: 'tail'");
    refuses("follow beekeeper.bvh --chain neck..hed", "no joint is called 'hed'; near: 'head'");
    refuses("follow beekeeper.bvh --chain head..neck",
            "--chain head..neck: chains[0].last, joint 4 (neck), does not hang on its first");
    refuses("follow beekeeper.bvh --chain left_thigh..left_foot", "a part of a leg or of the trunk");
    refuses("follow beekeeper.bvh --chain arm,stiffness=0", "stiffness is 0; 0.01 to 10000 are allowed");
    refuses("follow beekeeper.bvh --chain arm,limit=400", "limit is 400; 0 to 171 are allowed");
    refuses("follow beekeeper.bvh --chain arm,own=200%", "own is 2; 0 to 1 are allowed");
    refuses("follow beekeeper.bvh --chain nek..hed", "no joint is called 'nek'");
    refuses("follow beekeeper.bvh --chain arm,loose=1", "'loose=1' is not known");
    refuses("follow beekeeper.bvh --frames 2..9", "no such frames");
    refuses("follow beekeeper.bvh --loop", "--loop: the shot has 3 frames; a loop has 4 or more");
    refuses("follow beekeeper.bvh --swing 10%", "--swing goes with a --load that hangs");
    refuses("follow beekeeper.bvh --swing 10% --load 9kg,hands --balance",
            "--swing goes with a --load that hangs");
    refuses("follow beekeeper.bvh --csv --json", "--csv does not go with --json");
    refuses("follow beekeeper.bvh --out beekeeper.bvh", "that is the keyed file itself");
    refuses("follow beekeeper.bvh --fps 0", "frames a second above 0");
    EXPECT_EQ(files_written(), 0u);
}

} // namespace
} // namespace command
