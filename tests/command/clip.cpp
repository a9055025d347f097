// SPDX-License-Identifier: MIT
// aplomb read --frames: many frames, as text, table and JSON, and how it is misused.
#include "command.h"

#include <algorithm>

namespace {

namespace fs = std::filesystem;

class ClipCommand : public command::CommandTest {};

bool has(const std::string& text, const std::string& part) {
    return text.find(part) != std::string::npos;
}

} // namespace

TEST_F(ClipCommand, SaysWhatStandsByFrames) {
    const command::Outcome made = run("read beekeeper.bvh --frames all");
    EXPECT_TRUE(has(made.out, "frames of clip '")) << made.err;
    EXPECT_TRUE(has(made.out, "What stands, by frames, as --stance and --ranges take it:"));
    EXPECT_TRUE(has(made.out, "right-foot=flat:0..2  3.00 s")) << made.out;
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

/// The table as it was printed, with its last columns.
TEST_F(ClipCommand, ThePrintedTableCanBeGivenBack) {
    const command::Outcome found = run("read beekeeper.bvh --frames all --csv");
    const std::string text = run("read beekeeper.bvh --frames all").out;
    const std::size_t start = text.find('\n', text.find("What stands, by frames")) + 1;
    command::write(folder / "ranges.txt",
                   "# as printed\n\n" + text.substr(start, text.find("\n\n", start) + 1 - start));
    const command::Outcome given = run("read beekeeper.bvh --frames all --csv --ranges ranges.txt");
    EXPECT_EQ(given.out, found.out) << given.err;
    // A limb that is spoken of stands in the given ranges alone; the other one as found.
    const command::Outcome edited = run("read beekeeper.bvh --frames all --stance left-foot=ball:1..1");
    EXPECT_TRUE(has(edited.out, "  left-foot=ball:1..1 ")) << edited.out << edited.err;
    EXPECT_TRUE(has(edited.out, "right-foot=flat:0..2"));
    const command::Outcome part = run("read beekeeper.bvh --frames 1..2 --stance right-foot=heel:0..1");
    EXPECT_TRUE(has(part.out, "right-foot=heel:1..1 ")) << part.out << part.err;
    const command::Outcome hand = run("read beekeeper.bvh --frames all --stance left-hand=bearing");
    EXPECT_TRUE(has(hand.out, "left-hand=bearing:0..2")) << hand.err;
}

/// Of limbs that the command line does not speak of.
TEST_F(ClipCommand, TheFigureDescriptionGivesStances) {
    const std::string foot = R"({"clip": "motion", "joint": "left_foot", )";
    command::write(folder / "beekeeper.bvh.figure.json",
                   R"({"aplomb_figure": 1, "stances": [)" + foot +
                       R"("footing": "ball", "first": 0, "last": 1}, )" + foot +
                       R"("first": 2, "last": 2}]})");
    const std::string all = run("read beekeeper.bvh --frames all").out;
    EXPECT_TRUE(has(all, "left-foot=ball:0..1 ")) << all;
    EXPECT_TRUE(has(all, "left-foot=flat:2..2 "));
    EXPECT_TRUE(has(all, "right-foot=flat:0..2 "));
    const std::string spoken = run("read beekeeper.bvh --frames all --stance left-foot=heel:1..1").out;
    EXPECT_TRUE(has(spoken, "left-foot=heel:1..1 ")) << spoken;
    EXPECT_FALSE(has(spoken, "left-foot=ball"));
    const command::Outcome written = run("inspect beekeeper.bvh --write again.json");
    EXPECT_EQ(written.status, 0) << written.err;
    EXPECT_TRUE(has(command::read(folder / "again.json"), "\"footing\":\"ball\""))
        << command::read(folder / "again.json");
    const auto refuses = [&](const std::string& stance, const std::string& part) {
        command::write(folder / "beekeeper.bvh.figure.json",
                       R"({"aplomb_figure": 1, "stances": [)" + stance + "]}");
        const command::Outcome made = run("read beekeeper.bvh --frames all");
        EXPECT_EQ(made.status, 2);
        EXPECT_TRUE(has(made.err, part)) << made.err;
    };
    refuses(foot + R"("first": 0, "last": 3})",
            "stance 0 goes from frame 0 to 3; clip 'motion' has frames 0 to 2");
    refuses(R"({"clip": "0", "joint": "head", "first": 0, "last": 1})",
            "stance 0: joint 'head' ends no limb");
    refuses(foot + R"("first": 0, "last": 1}, )" + foot + R"("first": 1, "last": 2})",
            "stance 1 overlaps another of the same limb, frames 0 to 1");
}

TEST_F(ClipCommand, ALoadIsCarriedInItsFrames) {
    const auto column = [&](const std::string& words, int line) {
        std::istringstream rows(run("read beekeeper.bvh --frames all --csv " + words).out);
        std::string row;
        for (int k = 0; k <= line; ++k)
            std::getline(rows, row);
        return row;
    };
    const std::string load = "--load 20kg,left-hand,forward=0.3,frames=1..2,pick-up=0";
    EXPECT_TRUE(has(column(load, 0), ",give_left-foot,")) << column(load, 0);
    EXPECT_TRUE(column(load, 0).ends_with(",load_1_reads_as"));
    EXPECT_EQ(column(load, 1), column("", 1) + ",");
    EXPECT_NE(column(load, 2).substr(0, 60), column("", 2).substr(0, 60));
    // In other hands from the next frame on it is the same load.
    const std::string handed = "--load 20kg,left-hand,frames=0..0 --load 20kg,right-hand,frames=1..2";
    EXPECT_TRUE(column(handed, 0).ends_with(",load_1_reads_as"));
    EXPECT_TRUE(column("--load 20kg,left-hand,frames=0..0 --load 21kg,right-hand,frames=1..2", 0)
                    .ends_with(",load_2_reads_as"));
    // Two that start there are not both the one that ended.
    EXPECT_TRUE(column(handed + " --load 20kg,left-hand,frames=1..2", 0).ends_with(",load_2_reads_as"));
    EXPECT_TRUE(has(run("read beekeeper.bvh --frames all " + load).out, "20.0 kg  left-hand  1 to 2"));
}

TEST_F(ClipCommand, WritesAPageOfTheShot) {
    fs::copy_file(fs::path(APLOMB_SOURCE_DIR) / "examples" / "beekeeper_shots.glb", folder / "shots.glb");
    const command::Outcome made = run("read shots.glb --clip carry --frames 20..215 --page shot.html "
                                      "--load 22kg,hands,frames=66..208");
    EXPECT_EQ(made.status, 1) << made.err;
    EXPECT_TRUE(has(made.out, "Wrote shot.html"));
    const std::string page = command::read(folder / "shot.html");
    for (const char* part :
         {"shots.glb, clip 'carry'", "OUT OF BALANCE in ", "First to look at", "The worst moments",
          "From beginning to end", "The balance point among the feet", "Margin, cm", "Share of the weight, %",
          "Lean of the trunk, degrees", "Give of the legs, cm", "Load of 22.0 kg reads as, kg", "What stands",
          "Out of balance in motion", "to 208"})
        EXPECT_TRUE(has(page, part)) << part;
    EXPECT_FALSE(fs::exists(folder / "shot.html.part"));
}

/// Three frames, a second apart: nothing moves, but what the feet stand on.
TEST_F(ClipCommand, OnABeltAStandingFigureStandsNoMore) {
    const command::Outcome made = run("read beekeeper.bvh --frames all --belt 0,0,-3");
    EXPECT_EQ(made.status, 2);
    EXPECT_TRUE(has(made.err, "In none of the clip's 3 frames anything bears")) << made.err;
}

TEST_F(ClipCommand, FindsTheBelt) {
    fs::copy_file(fs::path(APLOMB_SOURCE_DIR) / "examples" / "beekeeper_shots.glb", folder / "shots.glb");
    const command::Outcome made = run("read shots.glb --clip walk --frames all --belt find");
    EXPECT_TRUE(has(made.out, "\nThe ground under the feet moves at 0,0,-1.02")) << made.out << made.err;
    EXPECT_TRUE(has(made.out, "left-foot=heel:0..2"));
    const std::string advice = "0,0,-1.024 m/s: for a walk on the spot, add --belt find.";
    EXPECT_FALSE(has(made.out, advice));
    EXPECT_TRUE(has(run("read shots.glb --clip walk --frames all").out, advice));
    EXPECT_FALSE(has(run("read shots.glb --clip carry --frames all").out, "--belt"));
    EXPECT_TRUE(has(run("read shots.glb --clip carry --frames all --belt find").out,
                    "\nNo belt is found under the feet: the ground is taken as at rest.\n"));
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
    refuses("--frames all --page a.txt", "pages are written as HTML");
    refuses("--frames all --json --csv", "--csv does not go with --json");
    refuses("--csv", "--csv goes with --frames");
    refuses("--ranges a.txt", "--ranges goes with --frames");
    refuses("--frames all --ranges a.txt", "--ranges a.txt: cannot be read");
    refuses("--frames all --pull 100N,hands,left", "--pull is for one frame");
    refuses("--frames all --stance left-foot", "left-foot: it is written as LIMB=WORD:FIRST..LAST");
    refuses("--frames all --stance left-foot=flat:1", "it is written as LIMB=WORD:FIRST..LAST");
    refuses("--frames all --stance left-foot=flat:1..7", "no such frames; the clip has frames 0 to 2");
    refuses("--frames all --stance left-foot=flat:0..1,left-foot=ball:1..2",
            "--stance left-foot=ball:1..2: overlaps left-foot=flat:0..1");
    refuses("--frames all --stance left-foot=soft:0..1", "'soft' is not flat, ball, heel, bearing or free");
    refuses("--frames all --stance left-foot=held:0..1", "held is for one frame");
    refuses("--frames all --stance left-hand=flat", "'flat' is for feet; use bearing");
    refuses("--frames all --stance nose=flat", "the figure has no limb 'nose'; it has left-foot");
    refuses("--frames all --stance left-foot=free,right-foot=free", "nothing bears weight in any frame");
    refuses("--frames all --load 2kg,hands,frames=1..9",
            "frames: no such frames; the clip has frames 0 to 2");
    refuses("--frames all --load 2kg,hands,frames=", "frames is written as frames=12..96");
    refuses("--frames all --load 2kg,hands,pick-up=-1", "'pick-up=-1' is not pick-up=SECONDS, 0 or more");
    refuses("--load 2kg,hands,frames=0..1", "frames, pick-up and put-down go with --frames");
    refuses("--belt 0,0,1", "--belt goes with --frames");
    refuses("--frames all --belt 1,2", "--belt 1,2: find, or three numbers are needed");
    refuses("--frames all --belt 1,2,x", "--belt 1,2,x: 'x' is not a number");
}
