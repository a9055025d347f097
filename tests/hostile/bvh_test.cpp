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

const Case cases[] = {
    {"opened", made::lay_figure_bvh()},
    {"@", "HIERARCHY"},
    {"@", "HIERARCHY\nMOTION\nFrames: 0\nFrame Time: 1\n"},
    {"@", "HIERARCHY\nROOT a { }"},
    {"@", with("OFFSET", "OFFSET 1")},
    {"@", with("OFFSET 0 0 0", "OFFSET 0 one 0")},
    {"@", with("OFFSET 0 0 0", "OFFSET 0 1e999 0")},
    {"@", with("OFFSET 0 0 0", "OFFSET 0 nan 0")},
    {"@", with("OFFSET 0 0 0", "OFFSET 0 1e300 0")},
    {"@", with("CHANNELS 6", "CHANNELS 5")},
    {"@", with("CHANNELS 6", "CHANNELS 99999999999999999999")},
    {"@", with("Xposition", "Wposition")},
    {"@", with("JOINT Spine", "JOINT")},
    {"@", with("JOINT Spine", "ROOT Spine")},
    {"@", with("JOINT Spine", "JOINT \xFF\xFE")},
    {"@", with("MOTION", "MOVES")},
    {"@", with("Frames: 3", "Frames: 4")},
    {"@", with("Frames: 3", "Frames: 2")},
    {"@", with("Frames: 3", "Frames: -3")},
    {"@", with("Frames: 3", "Frames: 2.5")},
    {"@", with("Frames: 3", "Frames: 1e300")},
    {"@", with("Frames: 3", "Frames: three")},
    {"@", with("Frame Time: 0.5", "Frame Time: 0")},
    {"@", with("Frame Time: 0.5", "Frame Time: -1")},
    {"@", with("Frame Time: 0.5", "")},
    {"@", with("\n1 92.0", "\n1")},
    {"@", with("\n1 92.0", "\n1 high")},
    {"@", with("ROOT Hips\n{", "ROOT Hips\n")},
};

TEST(HostileBvh, Files) {
    for (const Case& c : cases)
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
    EXPECT_EQ(opened("c.bvh", chain(3)), "@");
    std::string line = "HIERARCHY\n" + chain(1000).substr(10);
    EXPECT_EQ(opened("c.bvh", line), "@");
    EXPECT_EQ(opened("c.bvh", "HIERARCHY\n" + chain(2000).substr(10)), "@");
    // One long line must not be read again from its start at every brace.
    std::string ends = "HIERARCHY\nROOT j {";
    for (int i = 0; i < 100000; ++i)
        ends += " End Site { }";
    EXPECT_EQ(opened("c.bvh", ends), "@");
}

} // namespace
} // namespace hostile
