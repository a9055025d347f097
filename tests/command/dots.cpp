// SPDX-License-Identifier: MIT
// aplomb dots, on the drawn beekeeper.
#include "command.h"

namespace command {
namespace {

class Dots : public CommandTest {
protected:
    void SetUp() override {
        CommandTest::SetUp();
        if (run("dots --version").status != 0 || run("dots none.json").err.find("Ceres") != std::string::npos)
            GTEST_SKIP() << "!! built without Ceres Solver: aplomb dots IS NOT TESTED";
        for (const char* name : {"beekeeper_drawing.json", "beekeeper_drawing.svg"})
            fs::copy_file(fs::path(APLOMB_SOURCE_DIR) / "examples" / name, folder / name);
        drawing = read(folder / "beekeeper_drawing.json");
    }
    static bool contains(const std::string& text, const std::string& part) {
        return text.find(part) != std::string::npos;
    }
    /// The drawing's own file with something else in place of a part.
    void change(const std::string& part, const std::string& other) const {
        std::string text = drawing;
        ASSERT_TRUE(contains(text, part)) << part;
        write(folder / "other.json", text.replace(text.find(part), part.size(), other));
    }
    std::string drawing;
};

TEST_F(Dots, ADrawingIsReadCorrectedAndDrawnOver) {
    const Outcome done =
        run("dots beekeeper_drawing.json --load 22kg,hands,forward=0.15 --picture over.svg --page "
            "over.html --figure over.bvh");
    EXPECT_EQ(done.status, 1) << done.err;
    for (const char* part :
         {"17 dots fit within", "faces the picture's right", "Drawn:     too near the edge",
          "Corrected: in balance", "What the picture leaves open", "reads as nothing", "Wrote over.svg",
          "Wrote over.html", "Wrote over.bvh"})
        EXPECT_TRUE(contains(done.out, part)) << part << "\n" << done.out;
    const std::string svg = read(folder / "over.svg"), page = read(folder / "over.html");
    EXPECT_TRUE(contains(svg, "data:image/svg+xml;base64,"));
    EXPECT_TRUE(contains(svg, ">22.0 kg<"));
    EXPECT_TRUE(contains(svg, ">corrected<"));
    EXPECT_TRUE(contains(page, "What the picture leaves open"));
    // The figure stands in other commands as it does here.
    EXPECT_TRUE(contains(run("read over.bvh --load 22kg,hands,forward=0.15").out, "too near the edge"));
    EXPECT_EQ(run("dots beekeeper_drawing.json").status, 0);
}

TEST_F(Dots, WordsAreNoLongerThanANarrowPictureIsBroad) {
    write(folder / "narrow.svg",
          "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"600\" height=\"900\"></svg>");
    EXPECT_EQ(run("dots beekeeper_drawing.json --image narrow.svg --load 22kg,hands,forward=0.15 --picture "
                  "over.svg")
                  .status,
              1);
    const std::string svg = read(folder / "over.svg");
    EXPECT_TRUE(contains(svg, ">2.1 cm asked for.<")) << svg.substr(svg.size() - 2000);
}

TEST_F(Dots, JsonTellsAnswersAndPose) {
    const Outcome done = run("dots beekeeper_drawing.json --json");
    for (const char* part :
         {"\"answers\"", "\"chance\"", "\"differences\"", "\"open\"", "\"pose\"", "\"metres_per_unit\""})
        EXPECT_TRUE(contains(done.out, part)) << part;
}

TEST_F(Dots, ACsvDoesAsWell) {
    write(folder / "dots.csv",
          "name,x,y\ncrown,452,123\nneck,445,246\nleft_hip,440,462\nright hip,420,462\n"
          "left knee,459,637\nright knee,411,638\nleft ankle,449,811\nright ankle,383,810\n");
    EXPECT_TRUE(contains(run("dots dots.csv --image beekeeper_drawing.svg").out, "8 dots fit within"));
}

TEST_F(Dots, WhatCannotBeIsOneSentenceAndNothingIsWritten) {
    const auto fails = [&](const std::string& words, const std::string& sentence) {
        const Outcome done = run("dots " + words + " --picture over.svg --page over.html --figure over.bvh");
        EXPECT_EQ(done.status, 2);
        EXPECT_TRUE(contains(done.err, sentence)) << done.err;
        for (const char* file : {"over.svg", "over.html", "over.bvh"})
            EXPECT_FALSE(fs::exists(folder / file)) << file;
    };
    fails("none.json", "none.json: there is no such file");
    fails("beekeeper_drawing.json --image none.png", "--image none.png: there is no such file");
    fails("beekeeper_drawing.json --image beekeeper.bvh",
          "--image beekeeper.bvh: that is no PNG, JPEG or SVG");
    fails("beekeeper_drawing.json --answer 9", "--answer 9: there ");
    change("beekeeper_drawing.svg", "lost.png");
    fails("other.json", "lost.png: there is no such file");
    change("\"left knee\"", "\"left kne\"");
    fails("other.json", "'left kne' is no dot; near: 'left knee'");
    change("[452, 123]", "[452]");
    fails("other.json", "the dot crown is not a list of two numbers, x and y");
    write(folder / "three.csv", "crown,452,123\nneck,445,246\nleft hip,440,462\n");
    fails("three.csv", "three.csv: 3 dots are given; a figure needs 6 or more.");
    write(folder / "line.csv",
          "crown,400,100\nneck,400,200\nleft hip,400,400\nleft knee,400,600\nleft ankle,400,800\n"
          "left toe,400,820\n");
    fails("line.csv", "All 6 dots are on a line");
    change("[542, 397]", "[42, 397]");
    fails("other.json", "The dots fit no figure: ");
}

} // namespace
} // namespace command
