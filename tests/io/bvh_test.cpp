// SPDX-License-Identifier: MIT
#include "io/bvh_character.h"
#include "io/bvh_write.h"
#include "io/euler.h"
#include "io/fault.h"

#include "made_files.h"

#include <gtest/gtest.h>

#include <cmath>

using namespace aplomb;
using namespace aplomb::io;

namespace {

const std::string small = "HIERARCHY\n"
                          "ROOT Hips\n"
                          "{\n"
                          "  OFFSET 0 0 0\n"
                          "  CHANNELS 6 Xposition Yposition Zposition Zrotation Xrotation Yrotation\n"
                          "  JOINT Chest\n"
                          "  {\n"
                          "    OFFSET 0 5.5 0\n"
                          "    CHANNELS 3 Yrotation Xrotation Zrotation\n"
                          "    End Site\n"
                          "    {\n"
                          "      OFFSET 0 2 0\n"
                          "    }\n"
                          "  }\n"
                          "}\n"
                          "MOTION\n"
                          "Frames: 2\n"
                          "Frame Time: 0.5\n"
                          "1 2 3 90 0 0 0 90 0\n"
                          "4 5 6 0 10.5 0 1 2 3\n";

std::string replaced(std::string text, const std::string& from, const std::string& to) {
    const std::size_t at = text.find(from);
    EXPECT_NE(at, std::string::npos) << from;
    return text.replace(at, from.size(), to);
}

std::string fault_of(const std::string& bytes) {
    try {
        read_bvh(bytes);
    } catch (const Fault& fault) {
        return fault.message;
    }
    return "no fault";
}

double angle_between(const Quat& a, const Quat& b) {
    return norm(log_rotation(conjugate(a) * b));
}

void expect_pose(const BvhCharacter& character) {
    const Pose pose = character.pose(0, 0);
    EXPECT_EQ(pose.translations[0].y, 2);
    EXPECT_EQ(pose.translations[1].y, 5.5);
    EXPECT_LT(angle_between(pose.rotations[0], exp_rotation({0, 0, pi / 2})), 1e-14);
    EXPECT_LT(angle_between(pose.rotations[1], exp_rotation({pi / 2, 0, 0})), 1e-14);
    EXPECT_EQ(character.joints()[1].tip.y, 2);
    EXPECT_EQ(character.key_times(0), (std::vector<double>{0, 0.5}));
}

} // namespace

TEST(BvhRead, Plain) {
    expect_pose(BvhCharacter(small));
}

TEST(BvhRead, OtherLineEndsTabsAndBraces) {
    std::string text = replaced(small, "Frame Time: 0.5", "Frame Time:\t.5");
    text = replaced(text, "Frames: 2", "frames :  2");
    text = replaced(text, "JOINT Chest\n  {\n", "JOINT Chest {\r\n");
    text = replaced(text, "ROOT Hips\n", "ROOT Hips  \r");
    text = replaced(text, "1 2 3 90", "+1  2.0\t3e0 90");
    expect_pose(BvhCharacter("\xEF\xBB\xBF" + text + "\n \n"));
    std::string crlf;
    for (const char c : small)
        crlf += c == '\n' ? std::string("\r\n") : std::string(1, c);
    expect_pose(BvhCharacter(crlf));
}

TEST(BvhRead, NoEndSiteAndNoMotion) {
    const BvhCharacter character(replaced(small.substr(0, small.find("MOTION")),
                                          "    End Site\n    {\n      OFFSET 0 2 0\n    }\n", ""));
    EXPECT_TRUE(std::isnan(character.joints()[1].tip.x));
    EXPECT_EQ(character.clip_count(), 0);
    EXPECT_EQ(character.pose(-1, 0).translations[1].y, 5.5);
}

TEST(BvhRead, NamesMayHaveBlanks) {
    EXPECT_EQ(BvhCharacter(replaced(small, "JOINT Chest", "JOINT Upper chest ")).joints()[1].name,
              "Upper chest");
}

TEST(BvhRead, PositionsAddToTheOffsetOrHoldIt) {
    const std::string six =
        replaced(replaced(small, "CHANNELS 3 Yrotation", "CHANNELS 4 Yposition Yrotation"), "1 2 3 90 0 0 0",
                 "1 2 3 90 0 0 FIRST 0");
    const std::string row = replaced(six, "4 5 6 0 10.5 0 1", "4 5 6 0 10.5 0 SECOND 1");
    const BvhCharacter adds(replaced(replaced(row, "FIRST", "0.5"), "SECOND", "0"));
    EXPECT_EQ(adds.pose(0, 0).translations[1].y, 6);
    const BvhCharacter holds(replaced(replaced(row, "FIRST", "6"), "SECOND", "5.5"));
    EXPECT_EQ(holds.pose(0, 0).translations[1].y, 6);
}

TEST(BvhPose, BetweenFramesAndOutside) {
    const BvhCharacter character(replaced(small, "4 5 6 0 10.5 0 1 2 3", "3 2 3 0 0 0 0 90 0"));
    EXPECT_NEAR(character.pose(0, 0.25).translations[0].x, 2, 1e-12);
    EXPECT_LT(angle_between(character.pose(0, 0.25).rotations[0], exp_rotation({0, 0, pi / 4})), 1e-12);
    EXPECT_EQ(character.pose(0, -3).translations[0].x, 1);
    EXPECT_EQ(character.pose(0, 77).translations[0].x, 3);
}

TEST(BvhBroken, SentencesNameTheLine) {
    const std::pair<std::string, std::string> cases[] = {
        {"", "it is not BVH: HIERARCHY is missing"},
        {replaced(small, "ROOT Hips\n", ""), "line 2: '{' without a joint"},
        {replaced(small, "JOINT Chest", "JOINT"), "line 6: the joint has no name"},
        {replaced(small, "JOINT Chest", "ROOT Chest"), "line 6: a second ROOT; one figure a file"},
        {replaced(small, "Chest", "Pl\xE4tze"), "line 6: the joint name 'Pl?tze' is not UTF-8"},
        {replaced(small, "OFFSET 0 5.5 0", "OFFSET 0 5.5"), "line 8: OFFSET has 2 numbers, 3 expected"},
        {replaced(small, "OFFSET 0 5.5 0", "OFFSET 0 x 0"), "line 8: 'x' is not a finite number"},
        {replaced(small, "OFFSET 0 5.5 0", "OFFSET 0 nan 0"), "line 8: 'nan' is not a finite number"},
        {replaced(small, "CHANNELS 3 Y", "CHANNELS 4 Y"), "line 9: CHANNELS says 4, 3 are named"},
        {replaced(small, "CHANNELS 3 Y", "CHANNELS 3 W"),
         "line 9: 'Wrotation' is not a channel (X, Y or Z with position or rotation)"},
        {replaced(small, "    OFFSET 0 5.5 0\n", "    SIZE 3\n"), "line 8: 'SIZE' is no part of a hierarchy"},
        {replaced(small, "    OFFSET 0 5.5 0\n", std::string("    \0\x1b[1m\n", 10)),
         "line 8: '??[1m' is no part of a hierarchy"},
        {replaced(small, "    OFFSET 0 5.5 0\n", std::string(5000, 'x') + "\n"),
         "line 8: '" + std::string(40, 'x') + "...' is no part of a hierarchy"},
        {replaced(small, "  }\n}\nMOTION", "  }\nMOTION"), "line 15: MOTION, but a '{' is still open"},
        {replaced(small, "}\nMOTION", "}\n}\nMOTION"), "line 16: '}' without a '{'"},
        {small.substr(0, small.find("    End Site")), "the file ends inside the hierarchy"},
        {replaced(small, "Frames: 2", "Frames: two"), "line 17: 'Frames:' and a number are expected"},
        {replaced(small, "Frames: 2", "Frames: 3"), "'Frames:' says 3, the file holds 2 rows"},
        {replaced(small, "Frames: 2", "Frames: 1"), "line 20: a row past the 1 frames that 'Frames:' says"},
        {replaced(small, "Frames: 2", "Frames: -2"),
         "line 17: the number of frames is not a whole number of 0 or more"},
        {replaced(small, "Time: 0.5", "Time: 0"), "line 18: the frame time is not above 0"},
        {replaced(small, "Time: 0.5", "Time: inf"), "line 18: 'Frame Time:' and a number are expected"},
        {replaced(small, "10.5 0 1", "10.5 1"),
         "line 20: the row of frame 1 has 8 numbers, the channels are 9"},
        {replaced(small, "10.5", "1e999"), "line 20: '1e999' is not a finite number"},
        {small.substr(0, small.find("Frames")), "the file ends where Frames: is expected"},
    };
    for (const auto& [bytes, message] : cases)
        EXPECT_EQ(fault_of(bytes), message);
}

TEST(BvhBroken, EveryCutAndSpoiltByteIsAFaultOrAFigure) {
    int faults = 0;
    for (std::size_t i = 0; i < small.size(); ++i) {
        faults += fault_of(small.substr(0, i)) != "no fault";
        for (const char value : {'\0', '{', '}', '\n', '7', '\xFF'}) {
            std::string wrong = small;
            wrong[i] = value;
            faults += fault_of(wrong) != "no fault";
        }
    }
    EXPECT_GT(faults, static_cast<int>(small.size()));
}

TEST(BvhWrite, OnlyTheChangedNumbersChange) {
    const BvhCharacter character(small);
    Pose pose = character.pose(0, 0.5);
    pose.rotations[1] = axis_turn(1, 10 * degree) * axis_turn(0, 20 * degree) * axis_turn(2, -30 * degree);
    const std::string after = character.rewritten(0, {{0.5, pose, {{1, false, true}}}}, "");
    EXPECT_EQ(after, replaced(small, "10.5 0 1 2 3", "10.5 0 10.000000 20.000000 -30.000000"));
    pose.translations[0].y = 5.25;
    EXPECT_EQ(character.rewritten(0, {{0.5, pose, {{0, true, false}}}}, ""),
              replaced(small, "4 5 6 0 10.5", "4.000000 5.250000 6.000000 0 10.5"));
}

TEST(BvhWrite, APlaceIsWrittenLessItsOffset) {
    const BvhCharacter adds(
        replaced(replaced(replaced(small, "CHANNELS 3 Yrotation", "CHANNELS 4 Yposition Yrotation"),
                          "1 2 3 90 0 0 0", "1 2 3 90 0 0 0.5 0"),
                 "4 5 6 0 10.5 0 1", "4 5 6 0 10.5 0 0 1"));
    Pose pose = adds.pose(0, 0);
    ASSERT_EQ(pose.translations[1].y, 6); // 5.5 from the offset
    pose.translations[1].y = 7;
    const std::string written = adds.rewritten(0, {{0, pose, {{1, true, false}}}}, "");
    EXPECT_NE(written.find("90 0 0 1.500000 0"), std::string::npos) << written;
}

TEST(BvhWrite, WhatNoChannelCanSayIsRefused) {
    const BvhCharacter character(
        replaced(replaced(small, "CHANNELS 3 Yrotation Xrotation Zrotation", "CHANNELS 1 Xrotation"),
                 "0 90 0\n4 5 6 0 10.5 0 1 2 3", "90\n4 5 6 0 10.5 0 2"));
    Pose pose = character.pose(0, 0);
    const auto fault = [&](bool translation) {
        try {
            character.rewritten(0, {{0, pose, {{1, translation, !translation}}}}, "");
        } catch (const Fault& f) {
            return f.message;
        }
        return std::string("no fault");
    };
    pose.rotations[1] = axis_turn(0, 0.5);
    EXPECT_EQ(fault(false), "no fault");
    pose.rotations[1] = axis_turn(2, 0.5);
    EXPECT_EQ(fault(false), "joint 'Chest' has too few rotation channels for its new rotation");
    pose.translations[1].y = 7;
    EXPECT_EQ(fault(true), "joint 'Chest' has no position channels for its new place");
}

TEST(Euler, EveryOrderBackAndNearest) {
    const std::array<std::array<int, 3>, 6> orders = {
        {{0, 1, 2}, {1, 2, 0}, {2, 0, 1}, {0, 2, 1}, {1, 0, 2}, {2, 1, 0}}};
    for (const auto& axes : orders)
        for (double a = -7; a < 7; a += 1.3)
            for (double b = -4; b < 4; b += 0.7)
                for (const double c : {-3.0, 0.2, 5.0}) {
                    const Quat q = axis_turn(axes[0], a) * axis_turn(axes[1], b) * axis_turn(axes[2], c);
                    const auto angles = euler_angles(q, axes, {a + 0.02, b - 0.02, c + 0.01});
                    EXPECT_NEAR(angles[0], a, 1e-9); // the keyed triple, not another of the equal ones
                    EXPECT_NEAR(angles[1], b, 1e-9);
                    EXPECT_NEAR(angles[2], c, 1e-9);
                }
}

TEST(Euler, QuarterTurnOfTheMiddleAxis) {
    for (const double b : {pi / 2, -pi / 2}) {
        const Quat q = axis_turn(2, 0.4) * axis_turn(0, b) * axis_turn(1, 0.3);
        const auto angles = euler_angles(q, {2, 0, 1}, {0.4, b, 0.3});
        EXPECT_NEAR(angles[0], 0.4, 1e-7);
        const Quat back = axis_turn(2, angles[0]) * axis_turn(0, angles[1]) * axis_turn(1, angles[2]);
        EXPECT_LT(angle_between(back, q), 1e-7);
    }
}
