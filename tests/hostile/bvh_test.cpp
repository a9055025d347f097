// SPDX-License-Identifier: MIT
// Malformed BVH through the C API.
#include <gtest/gtest.h>

#include <functional>

#include "hostile/told.h"

namespace hostile {
namespace {

/// The lay figure with one text in it replaced.
std::string with(const std::string& from, const std::string& to) {
    std::string text = made::lay_figure_bvh();
    return text.replace(text.find(from), from.size(), to);
}

struct Case {
    const char* told;
    std::string bytes;
};

/// Made when it is asked for: the parts of the lay figure are constants of another file.
std::vector<Case> cases() {
    return {
        {"opened", made::lay_figure_bvh()},
        {"bad file: 'c.bvh': line 1: no ROOT before MOTION.", "HIERARCHY"},
        {"bad file: 'c.bvh': line 2: no ROOT before MOTION.",
         "HIERARCHY\nMOTION\nFrames: 0\nFrame Time: 1\n"},
        {"bad figure: 'c.bvh': No hips were found among 1 joints: no name says so and no pair of branches "
         "below 'a' reaches the ground. Give their role in roles. Roles stand in a figure description beside "
         "the "
         "file, 'c.bvh.figure.json'.",
         "HIERARCHY\nROOT a { }"},
        {"bad file: 'c.bvh': line 4: OFFSET has 4 numbers, 3 expected.", with("OFFSET", "OFFSET 1")},
        {"bad file: 'c.bvh': line 4: 'one' is not a finite number.", with("OFFSET 0 0 0", "OFFSET 0 one 0")},
        {"bad file: 'c.bvh': line 4: '1e999' is not a finite number.",
         with("OFFSET 0 0 0", "OFFSET 0 1e999 0")},
        {"bad file: 'c.bvh': line 4: 'nan' is not a finite number.", with("OFFSET 0 0 0", "OFFSET 0 nan 0")},
        {"bad argument: 'c.bvh': translations of joint 0 (Hips): component 1 is 1e+300, beyond 1e+09.",
         with("OFFSET 0 0 0", "OFFSET 0 1e300 0")},
        {"bad file: 'c.bvh': line 5: CHANNELS says 5, 6 are named.", with("CHANNELS 6", "CHANNELS 5")},
        {"bad file: 'c.bvh': line 5: CHANNELS says 99999999999999999999, 6 are named.",
         with("CHANNELS 6", "CHANNELS 99999999999999999999")},
        {"bad file: 'c.bvh': line 5: 'Wposition' is not a channel (X, Y or Z with position or rotation).",
         with("Xposition", "Wposition")},
        {"bad file: 'c.bvh': line 6: the joint has no name.", with("JOINT Spine", "JOINT")},
        {"bad file: 'c.bvh': line 6: a second ROOT; one figure a file.", with("JOINT Spine", "ROOT Spine")},
        {"bad file: 'c.bvh': line 6: the joint name '?\?' is not UTF-8.",
         with("JOINT Spine", "JOINT \xFF\xFE")},
        {"bad file: 'c.bvh': line 107: 'MOVES' is no part of a hierarchy.", with("MOTION", "MOVES")},
        {"bad file: 'c.bvh': 'Frames:' says 4, the file holds 3 rows.", with("Frames: 3", "Frames: 4")},
        {"bad file: 'c.bvh': line 112: a row past the 2 frames that 'Frames:' says.",
         with("Frames: 3", "Frames: 2")},
        {"bad file: 'c.bvh': line 108: the number of frames is not a whole number of 0 or more.",
         with("Frames: 3", "Frames: -3")},
        {"bad file: 'c.bvh': line 108: the number of frames is not a whole number of 0 or more.",
         with("Frames: 3", "Frames: 2.5")},
        {"bad file: 'c.bvh': line 108: the number of frames is not a whole number of 0 or more.",
         with("Frames: 3", "Frames: 1e300")},
        {"bad file: 'c.bvh': line 108: 'Frames:' and a number are expected.",
         with("Frames: 3", "Frames: three")},
        {"bad file: 'c.bvh': line 109: the frame time is not above 0.",
         with("Frame Time: 0.5", "Frame Time: 0")},
        {"bad file: 'c.bvh': line 109: the frame time is not above 0.",
         with("Frame Time: 0.5", "Frame Time: -1")},
        {"bad file: 'c.bvh': line 110: 'Frame Time:' and a number are expected.",
         with("Frame Time: 0.5", "")},
        {"bad file: 'c.bvh': line 111: the row of frame 1 has 53 numbers, the channels are 54.",
         with("\n1 92.0", "\n1")},
        {"bad file: 'c.bvh': line 111: 'high' is not a finite number.", with("\n1 92.0", "\n1 high")},
        {"bad file: 'c.bvh': line 4: OFFSET outside a joint.", with("ROOT Hips\n{", "ROOT Hips\n")},
    };
}

TEST(HostileBvh, Files) {
    for (const Case& c : cases())
        EXPECT_EQ(opened("c.bvh", c.bytes), c.told) << c.bytes.substr(0, 80);
}

/// Joints in joints, all on one line.
std::string chain(int depth) {
    std::string text = "HIERARCHY ROOT j {";
    for (int i = 1; i < depth; ++i)
        text += " JOINT j {";
    return text;
}

TEST(HostileBvh, DeepAndLong) {
    EXPECT_EQ(opened("c.bvh", chain(3)), "bad file: 'c.bvh': line 1: no ROOT before MOTION.");
    std::string line = "HIERARCHY\n" + chain(1000).substr(10);
    EXPECT_EQ(opened("c.bvh", line), "bad file: 'c.bvh': the file ends inside the hierarchy.");
    EXPECT_EQ(opened("c.bvh", "HIERARCHY\n" + chain(2000).substr(10)),
              "bad file: 'c.bvh': line 2: more than 1024 joints.");
    // One long line must not be read again from its start at every brace.
    std::string ends = "HIERARCHY\nROOT j {";
    for (int i = 0; i < 100000; ++i)
        ends += " End Site { }";
    EXPECT_EQ(opened("c.bvh", ends), "bad file: 'c.bvh': the file ends inside the hierarchy.");
}

} // namespace
} // namespace hostile
