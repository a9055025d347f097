// SPDX-License-Identifier: MIT
// aplomb read --frames: many frames, as text, table and JSON, and how it is misused.
#include "command.h"

#include <algorithm>

namespace {

class ClipCommand : public command::CommandTest {};

bool has(const std::string& text, const std::string& part) {
    return text.find(part) != std::string::npos;
}

} // namespace

TEST_F(ClipCommand, SaysWhatStandsByFrames) {
    const command::Outcome made = run("read beekeeper.bvh --frames all");
    EXPECT_TRUE(has(made.out, "frames of clip '")) << made.err;
    EXPECT_TRUE(has(made.out, "What stands, by frames:"));
    EXPECT_TRUE(has(made.out, "right-foot  0 to 2  flat"));
    EXPECT_EQ(made.err.find('['), std::string::npos); // no bar where no terminal is
}

TEST_F(ClipCommand, FramesKeepTheirNumbersInAPart) {
    const command::Outcome made = run("read beekeeper.bvh --frames 1..2 --csv");
    EXPECT_EQ(std::count(made.out.begin(), made.out.end(), '\n'), 3) << made.err;
    EXPECT_TRUE(has(made.out, "\n1,"));
    EXPECT_TRUE(has(made.out, "\n2,"));
    const command::Outcome json = run("read beekeeper.bvh --frames 1..2 --json");
    EXPECT_TRUE(has(json.out, "\"frame\": 1,"));
    EXPECT_TRUE(has(json.out, "\"stances\""));
    EXPECT_TRUE(has(json.out, "\"margin\""));
}

/// Three frames, a second apart: nothing moves, but what the feet stand on.
TEST_F(ClipCommand, OnABeltAStandingFigureStandsNoMore) {
    const command::Outcome made = run("read beekeeper.bvh --frames all --belt 0,0,-3");
    EXPECT_EQ(made.status, 2);
    EXPECT_TRUE(has(made.err, "In none of the clip's 3 frames anything bears")) << made.err;
}

TEST_F(ClipCommand, MisuseIsOneSentence) {
    const auto refuses = [&](const std::string& words, const std::string& part) {
        const command::Outcome made = run("read beekeeper.bvh " + words);
        EXPECT_EQ(made.status, 2) << words;
        EXPECT_TRUE(has(made.err, part)) << made.err;
        EXPECT_EQ(made.out, "") << words;
    };
    refuses("--frames some", "--frames some: it is written as all, or as 12..96");
    refuses("--frames 5..2", "--frames 5..2: no such frames; the clip has frames 0 to");
    refuses("--frames 0..999999", "no such frames");
    refuses("--frames all --frame 3", "--frame is for one frame and does not go with --frames");
    refuses("--frames all --page a.html", "--page is for one frame");
    refuses("--frames all --json --csv", "--csv does not go with --json");
    refuses("--csv", "--csv goes with --frames");
    refuses("--belt 0,0,1", "--belt goes with --frames");
    refuses("--frames all --belt 1,2", "--belt 1,2: three numbers are needed");
    refuses("--frames all --belt 1,2,x", "--belt 1,2,x: 'x' is not a number");
}
